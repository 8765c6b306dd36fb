"""The catalogue's files in the order in which they are written: its own, then what other apps add.

Another app adds a file with ``register`` (from its ``AppConfig.ready``)::

    register(Kind("stock", "stock.csv", StockRow, write_stock, required=False))

where ``StockRow`` derives from ``rows.Row`` (its ``refs`` name the namespaces it points into, such as
``items``) and ``write_stock(writer, rows)`` gets the judged rows and ``writer.ids("items")``, a map from
code to primary key, inside the loading transaction. It should be safe to run twice.
"""

from __future__ import annotations

from . import checks, checks_items, checks_looks, checks_whole, rows, writing
from . import models as m
from .kinds import Kind

OWN = (
    Kind("workshop", "workshop.toml", rows.WorkshopRow, writing.write_workshop, check=checks.workshop),
    Kind("suppliers", "suppliers.csv", rows.SupplierRow, writing.table(m.Supplier), model=m.Supplier),
    Kind(
        "finishes",
        "finishes.csv",
        rows.FinishRow,
        writing.write_finishes,
        model=m.Finish,
        check=checks.finish,
        check_all=checks.accents,
    ),
    Kind("items", "items.csv", rows.ItemRow, writing.write_items, model=m.Item, check=checks_items.item),
    Kind("wheels", "wheels.csv", rows.WheelRow, writing.parts(m.Wheel), "items", check=checks_items.wheel),
    Kind("tyres", "tyres.csv", rows.TyreRow, writing.parts(m.Tyre), "items", check=checks_items.tyre),
    Kind(
        "spacers", "spacers.csv", rows.SpacerRow, writing.parts(m.Spacer), "items", check=checks_items.spacer
    ),
    Kind(
        "fasteners",
        "fasteners.csv",
        rows.FastenerRow,
        writing.parts(m.Fastener),
        "items",
        check=checks_items.fastener,
    ),
    Kind(
        "centring_rings",
        "centring_rings.csv",
        rows.CentringRingRow,
        writing.parts(m.CentringRing),
        "items",
        check=checks_items.ring,
    ),
    Kind(
        "paint_systems",
        "paint_systems.csv",
        rows.PaintSystemRow,
        writing.table(m.PaintSystem),
        model=m.PaintSystem,
    ),
    Kind(
        "paint_layers",
        "paint_layers.csv",
        rows.PaintLayerRow,
        writing.write_layers,
        check=checks.layer,
        check_all=checks.layers,
    ),
    Kind("makers", "makers.csv", rows.MakerRow, writing.table(m.Maker), model=m.Maker),
    Kind(
        "generations",
        "generations.csv",
        rows.GenerationRow,
        writing.write_generations,
        model=m.Generation,
        check=checks.generation,
    ),
    Kind(
        "axles",
        "axles.csv",
        rows.AxleRow,
        writing.table(m.Axle, ("generation", "position")),
        check=checks.axle,
        check_all=checks.axles,
    ),
    Kind(
        "recipes",
        "recipes.toml",
        rows.RecipeRow,
        writing.write_recipes,
        table="recipe",
        model=m.Recipe,
        check=checks.recipe,
        check_all=checks_whole.covered,
    ),
    Kind(
        "families",
        "families.csv",
        rows.FamilyRow,
        writing.table(m.Family),
        model=m.Family,
        check=checks.family,
    ),
    Kind(
        "options",
        "options.csv",
        rows.OptionRow,
        writing.table(m.Option),
        model=m.Option,
        check=checks.option,
    ),
    Kind(
        "rules",
        "rules.toml",
        rows.RuleRow,
        writing.write_rules,
        table="rule",
        model=m.Rule,
        check=checks.rule,
    ),
    Kind(
        "looks",
        "looks.csv",
        rows.LookRow,
        writing.table(m.ReadyLook),
        model=m.ReadyLook,
        required=False,
        check=checks_looks.look,
    ),
)

_added: dict[str, Kind] = {}


def register(kind: Kind) -> None:
    """Add a kind after those registered so far; the same name replaces the former."""
    _added[kind.name] = kind


def kinds() -> tuple[Kind, ...]:
    """Return every kind in the order in which they are written."""
    return (*OWN, *_added.values())
