"""What fitment says, as values: every message has an id, figures and an English template.

The contract, for whoever words messages in another language or in other units:

- A message is an id of `TEMPLATES` and a plain dict of figures. A finding is one message or several, said
  one after the other: `message_id` and `figures` are the first, `also` lists the rest in the same form. What
  is called `message` (or `text`, `headline`, `reason`) is all of them in English, parted by spaces.
- Ids are stable; English may change under them. Translate by id, and keep the placeholders' names.
- The last word of a figure's key tells what it is. A number has its unit there: `_mm`, `_in` (nominal inches
  of rims, never converted), `_kg`, `_kn` (kN), `_nm` (N m), `_kmh`, `_pct` (per cent), `_deg`, `_bar`;
  `_count`, `_turns` and `_factor` are bare numbers. A list of numbers is a sum to be shown as one: [27, 15]
  is `27 + 15`, and [27, 15, -3] `27 + 15 − 3`.
- A text is a code: `seat` (`cone60`), `thread`, `tyre` (a designation, shown as it is), `position`,
  `verdict` (of a row), `outcome` (the verdict on the whole), `check` and `field` are worded by whoever shows
  them (`CODES` has the English); `checks` and `fields` are lists of such codes.
- A placeholder is `{key}` or `{key:spec}`. The unit belongs to the figure, so that lengths may be shown in
  inches: `{gap_mm}` is `4.8 mm`. In the spec a digit gives the most decimals (1 if none is given; no zeros
  are added), `+` asks for the sign of what grows, `#` for the number without its unit.

`said.fill` fills a template, whatever its language, with figures written by a function of the caller's;
`said.english` is the default.
"""

from types import MappingProxyType

from .codes import CODES
from .messages_mounting import MOUNTING
from .messages_rating import RATING
from .messages_space import SPACE

__all__ = ["CODES", "TEMPLATES", "UNITS"]

_NEEDS = {
    "need.bolts": "needs {shank_mm} bolts: {sum_mm:#}; locking bolts of the same length",
    "need.hub_bolts": "bolts between hub and spacer: supplied with the spacer, check that they are there",
    "need.nuts": "needs nuts with seat {wheel_seat}",
    "need.studs": "needs studs of at least {stud_mm}",
    "need.ring_wheel": "needs centring rings {inner_mm:2#} to {outer_mm:2} in the wheel",
    "need.ring_spacer": "needs centring rings {inner_mm:2#} to {outer_mm:2} in the spacer",
    "need.measure": "settle before ordering:",
    "need.input": "{field} is not known",
}
_SUGGESTIONS = {
    "suggest.spacer": "{spacer_mm} spacer: {left_mm} left to the arch",
    "suggest.no_spacer": "no spacer: {left_mm} left to the arch",
    "suggest.spacer_arch_unknown": "{spacer_mm} spacer: arch not known",
    "suggest.no_spacer_arch_unknown": "no spacer: arch not known",
    "suggest.tyre": "{tyre}: circumference {change_pct:+}",
    "suggest.tyre_unknown": "{tyre}: original circumference not known",
    "mends.spacer": "a {spacer_mm} spacer instead mends {checks}",
    "mends.no_spacer": "no spacer instead mends {checks}",
    "mends.tyre": "tyre {tyre} instead mends {checks}",
    "mends.wheel": "a wheel {width_in:#} x {diameter_in:#} offset {offset_mm:#} instead mends {checks}",
    "mends.wheel_unknown": "another wheel instead mends {checks}",
    "mends.here_only": "(the rest of the build needs a change of its own)",
    "mends.fastener": "a {shank_mm} shank instead mends {checks}",
    "mends.fastener_needed": "the fastener this fit needs instead mends {checks}",
}
_CAUTIONS = {
    "caution.advice": (
        "This verdict is advice to a competent fitter, not a certificate. Offer up wheel and tyre, turn them"
        " by hand through full lock and full travel, and measure before driving."
    ),
    "caution.mating_faces": (
        "Clean hub, spacer and wheel to bare metal. A thin film of copper-based anti-seize on the mating"
        " faces only: never on threads or seats, where it changes what the torque does."
    ),
    "caution.recheck": (
        "Check the tightness of every wheel fastener again after 50 to 100 km, with a torque wrench."
    ),
    "caution.insurer": (
        "Wheels, tyres, spacers and a changed track are modifications: the keeper tells the insurer, and has"
        " them approved or entered where the law asks for it."
    ),
    "caution.track": (
        "The track changes by {change_mm}. Local codes on track and wheel cover rule, whatever is computed"
        " here."
    ),
    "caution.measure": (
        "Some checks could not be decided from the data: measure on the vehicle what they name."
    ),
    "caution.torque": (
        "By hand, then a gun at low torque, then crosswise with a torque wrench to the vehicle maker's figure"
        " ({torque_nm}). Oiled threads would be drawn about {oiled_factor} times as hard by it."
    ),
    "caution.torque_unknown": (
        "By hand, then a gun at low torque, then crosswise with a torque wrench to the vehicle maker's"
        " figure; it is not known here, look it up."
    ),
    "caution.spacer_slip_on": (
        "One spacer per side, the same on both sides of the axle. It always brings longer fasteners; never"
        " use the original ones with it. Some countries forbid spacers or ask for approval: local codes rule."
    ),
    "caution.spacer_bolt_on": (
        "One spacer per side, the same on both sides of the axle. Its own bolts are tightened and checked"
        " before the wheel goes on. Some countries forbid spacers or ask for approval: local codes rule."
    ),
}
_HEADLINES = {
    "headline.no": "Does not fit:",
    "headline.flush": "Sits flush with the arch.",
    "headline.inside": "Sits {inside_mm} inside the arch.",
    "headline.out": "Stands {out_mm} out of the arch.",
    "headline.bolts": "Needs {shank_mm} bolts, which we add.",
    "headline.nuts": "Needs nuts, which we add.",
    "headline.rings": "Needs centring rings to {inner_mm:2}, which we add.",
    "headline.bolts_rings": ("Needs {shank_mm} bolts and centring rings to {inner_mm:2}, which we add."),
    "headline.nuts_rings": "Needs nuts and centring rings to {inner_mm:2}, which we add.",
    "headline.lacking": "Not in our catalogue, we get it before anything is fitted:",
    "headline.measure_one": "We measure 1 point at the vehicle first.",
    "headline.measure": "We measure {point_count} points at the vehicle first.",
}
_SECTION = {
    "section.title": "{position} axle, cross-section: {outcome}",
    "section.wheel": "{width_in:#} x {diameter_in:#}, offset {offset_mm:#}",
    "section.wheel_unknown": "wheel size or offset not known",
    "section.with_spacer": "{spacer_mm} spacer",
    "section.no_spacer": "no spacer",
    "section.scale": "Drawn to scale, outboard to the right, the upper half from the axis.",
    "section.strut": "strut",
    "section.arch": "arch",
    "section.hub": "hub",
    "section.brake": "brake",
    "section.inside_unknown": "wheel's inside not known",
    "section.original": "original: {tyre} on {width_in:#} x {diameter_in:#}, offset {offset_mm:#}",
    "section.to_arch": "{gap_mm} to the arch: {verdict}",
    "section.past_arch": "{gap_mm} past the arch: {verdict}",
    "section.to_strut": "{gap_mm} to the strut: {verdict}",
    "section.into_strut": "{gap_mm} into the strut: {verdict}",
    "section.to_brake": "{gap_mm} to the brake: {verdict}",
    "section.width": "section width {section_mm}",
    "section.spacer": "spacer {spacer_mm}",
    "section.offset": "effective offset {offset_mm}",
    "section.track": "track {change_mm:+0}",
    "section.track_same": "track unchanged",
    "section.diameter": "overall diameter {diameter_mm}, half shown",
}
TEMPLATES = MappingProxyType(
    MOUNTING | SPACE | RATING | _NEEDS | _SUGGESTIONS | _CAUTIONS | _HEADLINES | _SECTION
)
"""English by message id."""

UNITS = MappingProxyType(
    {
        "mm": "mm",
        "in": "in",
        "kg": "kg",
        "kn": "kN",
        "nm": "N m",
        "kmh": "km/h",
        "pct": "per cent",
        "deg": "degrees",
        "bar": "bar",
    }
)
"""Units in English by the last word of a figure's key; numbers under other keys are bare."""
