"""What the demonstration's customers send: invented people, and builds of the demonstration's vehicles."""

from __future__ import annotations

from dataclasses import dataclass

from configurator.builds.selection import AxleSelection, Selection
from configurator.builds.sending import Contact


@dataclass(frozen=True)
class Sent:
    """One build that a customer sends."""

    selection: Selection
    contact: Contact
    language: str = "de"
    photos: int = 0


def _axle(wheel: str | None = None, tyre: str | None = None, spacer: str | None = None) -> AxleSelection:
    return AxleSelection(wheel=wheel, tyre=tyre, spacer=spacer)


def _sent(
    selection: Selection, name: str, registration: str, notes: str = "", photos: int = 0, language: str = "de"
) -> Sent:
    mail = f"{name.lower().replace(' ', '.').replace('ö', 'oe').replace('ü', 'ue')}@customer.example"
    contact = Contact(name=name, email=mail, phone="+49 30 23125 0", registration=registration, notes=notes)
    return Sent(selection, contact, language, photos)


VAN_WHEELS = _axle("torvik-8x18-5x112-et50-silver", "haul-225-50r18c-108-106t")
VIREO_WHEELS = _axle("vadum-7.5x18-5x108-et45-gloss-black", "road-225-40r18-92y")
MERLE_WHEELS = _axle("osmund-8x18-5x112-et45-bronze", "road-225-45r18-95w")
SKARN_WHEELS = _axle("granvik-8.5x18-6x1397-et25-satin-black", "trail-265-60r18-114t")
AMBRY_WHEELS = _axle("torvik-8x18-5x120-et50-gloss-black", "road-235-55r18-104v")

BUILDS: dict[str, Sent] = {
    "handles": _sent(
        Selection(
            generation="haldor-2", body_finish="drift-white", accent="fjord-teal",
            options=("standard-bumper", "door-handles", "badge-front", "badge-rear", "paint-seal"),
        ),
        "Edda Kröger", "XK EK 310", photos=2,
    ),
    "pickup": _sent(
        Selection(
            generation="skarn-3", body_finish="quince-yellow", front=SKARN_WHEELS, rear=SKARN_WHEELS,
            options=("standard-bumper", "skarn-grille", "skarn-mirror-caps", "mudflaps-remove"),
        ),
        "Ole Brandis", "XN OB 77", "Please mind the tow bar wiring.", language="en-gb",
    ),
    "car": _sent(
        Selection(
            generation="vireo-4", body_finish="damson-red", front=VIREO_WHEELS, rear=VIREO_WHEELS,
            accent="barley-yellow",
            options=("standard-bumper", "calipers-front", "calipers-rear", "wheel-caps"),
        ),
        "Thea Lorenz", "XB TL 9", photos=1,
    ),
    "estate": _sent(
        Selection(
            generation="merle-2", body_finish="bilberry-blue", front=MERLE_WHEELS, rear=MERLE_WHEELS,
            options=("standard-bumper", "roof-rails-fitted", "merle-mirror-caps", "lettering-remove"),
        ),
        "Jannik Ostermann", "XH JO 1204",
    ),
    "bike": _sent(
        Selection(
            generation="whinchat-680", body_finish="rowan-red", accent="barley-yellow",
            options=("centre-stand-fitted", "rim-stripe", "frame-covers", "whinchat-fly-screen"),
        ),
        "Sina Wolters", "XS SW 4", photos=1,
    ),
    "people-van": _sent(
        Selection(
            generation="ambry-1", body_finish="weir-teal", front=AMBRY_WHEELS, rear=AMBRY_WHEELS,
            options=("standard-bumper", "roof-rails-fitted", "ambry-grille", "rear-strip-remove"),
        ),
        "Familie Hartung", "XF AH 55",
    ),
    "badges": _sent(
        Selection(
            generation="merle-2", body_finish="curd-white",
            options=("standard-bumper", "roof-rails-fitted", "front-badge-remove", "rear-badge-remove",
                     "lettering-remove"),
        ),
        "Rolf Temmen", "XD RT 81",
    ),
    "splitter": _sent(
        Selection(
            generation="vireo-4", body_finish="herring-silver",
            options=("sport-bumper", "vireo-splitter", "vireo-diffuser"),
        ),
        "Milan Horvat", "XG MH 300", photos=2,
    ),
    "van-wheels": _sent(
        Selection(
            generation="haldor-2", body_finish="wharf-grey", front=VAN_WHEELS, rear=VAN_WHEELS,
            options=("standard-bumper", "wheel-seal"),
        ),
        "Tischlerei Oltmann", "XO TO 12", "Three vans in all; this is the first.",
    ),
    "mirror-caps": _sent(
        Selection(
            generation="ambry-1", body_finish="cellar-black", accent="kettle-copper",
            options=("standard-bumper", "roof-rails-fitted", "ambry-mirror-caps", "badge-front-build"),
            finishes={"ambry-mirror-caps": "accent"},
        ),
        "Lotte Brehm", "XL LB 6",
    ),
    "arches": _sent(
        Selection(
            generation="skarn-3", body_finish="clinker-grey",
            options=("standard-bumper", "skarn-arch-trims", "skarn-gate-spoiler", "mudflaps-remove"),
        ),
        "Forstbetrieb Nyland", "XW FN 19",
    ),
    "tank": _sent(
        Selection(
            generation="whinchat-680", body_finish="tarpot-black", accent="hawthorn-red",
            options=("centre-stand-fitted", "whinchat-tank-cover", "whinchat-seat-cowl",
                     "pillion-pegs-remove"),
            finishes={"whinchat-tank-cover": "accent", "whinchat-seat-cowl": "accent"},
        ),
        "Per Lindqvist", "XP PL 2", language="en-gb",
    ),
    "film": _sent(
        Selection(
            generation="vireo-4", body_finish="teasel-green", accent="meadow-lime",
            options=("standard-bumper", "calipers-front", "stone-film"),
        ),
        "Greta Maas", "XM GM 44",
    ),
    "skirts": _sent(
        Selection(
            generation="haldor-2", body_finish="tarnside-green",
            options=("standard-bumper", "haldor-skirts", "haldor-roof-spoiler"),
        ),
        "Kurier Senft", "XC KS 500",
    ),
    "spacers": _sent(
        Selection(
            generation="merle-2", body_finish="flagstone-grey",
            front=_axle(spacer="sp-5x112-666-15"), rear=_axle(spacer="sp-5x112-666-15"),
            options=("standard-bumper", "roof-rails-fitted"),
        ),
        "Ayla Demir", "XT AD 27",
    ),
    "grille": _sent(
        Selection(
            generation="haldor-2", body_finish="quay-blue", accent="dusk-violet",
            options=("standard-bumper", "haldor-grille", "grille-frame", "haldor-mirror-caps"),
        ),
        "Bernd Köster", "XR BK 8", photos=1,
    ),
}  # fmt: skip
