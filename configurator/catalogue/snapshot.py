"""The whole catalogue in memory, once per process and catalogue version.

Pages and the evaluation read from here, so an update costs one query (which version is live) however
large the catalogue grows. The values are model instances with their relations already fetched; they are
shared between threads and must not be changed.

>>> current().wheels["wh-arvo-18-sil"].item.unit_price  # doctest: +SKIP
Decimal('289.0000')
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import MISSING, dataclass, field, fields
from threading import Lock
from typing import Any, TypeVar

from django.db.models import Model, Prefetch, QuerySet

from . import models as m
from . import texts, workshop
from .models_parts import Part

T = TypeVar("T")


@dataclass(frozen=True)
class Catalogue:
    """Everything of one catalogue version by code; ``axles`` by (generation code, position).

    What is retired lies apart, by the name of the field that it would be in.
    """

    version: int
    digest: str
    workshop: m.Workshop | None
    suppliers: dict[str, m.Supplier]
    items: dict[str, m.Item]
    finishes: dict[str, m.Finish]
    paint_systems: dict[str, m.PaintSystem]
    generations: dict[str, m.Generation]
    axles: dict[tuple[str, str], m.Axle]
    wheels: dict[str, m.Wheel]
    tyres: dict[str, m.Tyre]
    spacers: dict[str, m.Spacer]
    fasteners: dict[str, m.Fastener]
    rings: dict[str, m.CentringRing]
    recipes: dict[str, m.Recipe]
    families: dict[str, m.Family]
    options: dict[str, m.Option]
    rules: dict[str, m.Rule]
    looks: dict[str, m.ReadyLook] = field(default_factory=dict)
    texts: texts.Texts = field(default_factory=texts.Texts)
    retired: dict[str, dict[str, Any]] = field(default_factory=dict)
    _kept: dict[str, dict[Any, Any]] = field(init=False, repr=False, compare=False, default_factory=dict)

    def kept(self, name: str, *, most: int) -> dict[Any, Any]:
        """Return answers of one kind that were worked out from this catalogue, ``most`` of them.

        They live as long as the catalogue: a new version, or a changed copy, begins with none.
        """
        found = self._kept.setdefault(name, {})
        if len(found) >= most:
            found = self._kept[name] = {}
        return found

    def once(self, name: str, key: Hashable, make: Callable[[], T], *, most: int) -> T:
        """Return what ``make`` works out from this catalogue, worked out once for each key of that kind."""
        kept = self.kept(name, most=most)
        if key not in kept:
            kept[key] = make()
        found: T = kept[key]
        return found


_lock = Lock()
_cached: tuple[tuple[Any, ...], Catalogue] | None = None


def live_version() -> m.CatalogueVersion | None:
    """Return the newest catalogue version: one query."""
    return m.CatalogueVersion.objects.first()


def current() -> Catalogue:
    """Return the live catalogue, read anew only when its version has changed.

    Before the first version nothing is offered: there is at most the workshop's own record.
    """
    global _cached
    version = live_version()
    if version is None:
        return nothing()
    key = _key(version)
    cached = _cached
    if cached is not None and cached[0] == key:
        return cached[1]
    with _lock:
        if _cached is None or _cached[0] != key:
            _cached = (key, read(version.number, version.digest))
        return _cached[1]


def hold(version: m.CatalogueVersion, read_before: Catalogue) -> Catalogue:
    """Take a catalogue that was read before for this version, whose rows it holds; return it."""
    global _cached
    with _lock:
        _cached = (_key(version), read_before)
    return read_before


def _key(version: m.CatalogueVersion) -> tuple[Any, ...]:
    return (version.pk, version.number, version.digest, version.made_at)


def recent() -> Catalogue:
    """Return the catalogue as this process read it last, without asking whether it is still the live one.

    For words beside many rows, where a query each would cost more than a name that is a moment old.
    """
    cached = _cached
    return cached[1] if cached is not None else current()


def forget() -> None:
    """Drop the cached catalogue; tests that write rows behind the loader's back need it."""
    global _cached
    with _lock:
        _cached = None


def tables() -> Catalogue:
    """Return what the tables hold now, within the caller's transaction."""
    return read(0, "not live")


def nothing() -> Catalogue:
    """Return the catalogue of a site that offers nothing yet: one query, for the workshop's record."""
    told: dict[str, Any] = {"version": 0, "digest": "", "workshop": workshop.current()}
    wanted = {one.name for one in fields(Catalogue) if one.init and one.default_factory is MISSING}
    empty: dict[str, Any] = {name: {} for name in wanted - told.keys()}
    return Catalogue(**told, **empty)


def read(version: int, digest: str) -> Catalogue:
    """Read every catalogue table, relations included, in a fixed number of queries.

    Every text that people read is a ``Said``: it carries its translations.
    """
    generations = _by_code(
        m.Generation.objects.select_related("maker").prefetch_related("axles", "body_finishes")
    )
    catalogue = Catalogue(
        version=version,
        digest=digest,
        workshop=workshop.current(),
        suppliers=_by_code(m.Supplier.objects.all()),
        items=_by_code(m.Item.objects.select_related("supplier")),
        finishes=_by_code(m.Finish.objects.select_related("same_colour_as")),
        paint_systems=_by_code(m.PaintSystem.objects.prefetch_related("layers__item__supplier")),
        generations=generations,
        axles=_axles(generations.values()),
        wheels=_by_code(m.Wheel.objects.select_related("item__supplier", "finish")),
        tyres=_by_code(m.Tyre.objects.select_related("item__supplier")),
        spacers=_by_code(m.Spacer.objects.select_related("item__supplier")),
        fasteners=_by_code(m.Fastener.objects.select_related("item__supplier", "finish")),
        rings=_by_code(m.CentringRing.objects.select_related("item__supplier")),
        recipes=_by_code(m.Recipe.objects.prefetch_related("operations", "materials__item__supplier")),
        families=_by_code(m.Family.objects.all()),
        options=_by_code(
            m.Option.objects.select_related(
                "family", "item__supplier", "recipe", "paint_system"
            ).prefetch_related(_made_for())
        ),
        rules=_by_code(m.Rule.objects.prefetch_related(_made_for())),
        looks=_by_code(m.ReadyLook.objects.select_related("generation").defer("generation__body")),
        texts=texts.read(),
    )
    texts.speak(catalogue)
    _set_aside(catalogue)
    return catalogue


def _axles(generations: Iterable[m.Generation]) -> dict[tuple[str, str], m.Axle]:
    """Return the axles read with their vehicles: asked for alone, each would bring the drawing once more."""
    return {(one.code, axle.position): axle for one in generations for axle in one.axles.all()}


def _set_aside(catalogue: Catalogue) -> None:
    """Take what is retired out of what is offered; an item keeps its name for papers, orders and shelves."""
    offered: dict[str, dict[str, Any]] = {
        name: getattr(catalogue, name)
        for name in (
            "finishes",
            "wheels",
            "tyres",
            "spacers",
            "fasteners",
            "rings",
            "recipes",
            "options",
            "looks",
        )
    }
    for name, rows in offered.items():
        gone = [code for code, row in rows.items() if (row.item if isinstance(row, Part) else row).retired]
        catalogue.retired[name] = {code: rows.pop(code) for code in gone}


def _made_for() -> Prefetch[Any]:
    """Return the generations that a row is made for, by code alone: a drawing each would be read in vain."""
    return Prefetch("generations", m.Generation.objects.defer("body"))


def _by_code(rows: QuerySet[Any, Any]) -> dict[str, Any]:
    """Map the rows by the code they answer to, in the model's own order."""
    return {_code(row): row for row in rows}


def _code(row: Model) -> str:
    """Return a row's own code, or its item's."""
    return str(row.code)  # type: ignore[attr-defined]
