"""Does this wheel, tyre, spacer and fastener fit this axle, and by how many millimetres.

Pure Python and NumPy; no Django. The frame throughout: origin at the hub mounting face on the wheel's
axis, +y outboard, z up, millimetres. A verdict is advice to a competent fitter, never a certificate.
"""

from configurator.json_input import InputErrors

from .answering import answer_input
from .cautions import Caution, cautions
from .designation import Tyre, TyreDesignationError, parse_tyre
from .drawing import cross_section_svg
from .grid import Catalogue, GridResult, filter_catalogue, filter_grid
from .parts import Axle, Fastener, OriginalWheel, Spacer, Wheel
from .reading import FitInput, read_input
from .report import Check, FitReport, Need, check_fit
from .said import Message, Messages, Say
from .suggest import Suggestion, single_changes, suggest_spacers, suggest_tyres
from .tyre_size import (
    drawn_diameter_mm,
    drawn_width_mm,
    overall_diameter_mm,
    section_width_mm,
)
from .vehicle import AxleTyres, Vehicle, axle_pairing

__all__ = [
    "Axle",
    "AxleTyres",
    "Catalogue",
    "Caution",
    "Check",
    "Fastener",
    "FitInput",
    "FitReport",
    "GridResult",
    "InputErrors",
    "Message",
    "Messages",
    "Need",
    "OriginalWheel",
    "Say",
    "Spacer",
    "Suggestion",
    "Tyre",
    "TyreDesignationError",
    "Vehicle",
    "Wheel",
    "answer_input",
    "axle_pairing",
    "cautions",
    "check_fit",
    "cross_section_svg",
    "drawn_diameter_mm",
    "drawn_width_mm",
    "filter_catalogue",
    "filter_grid",
    "overall_diameter_mm",
    "parse_tyre",
    "read_input",
    "section_width_mm",
    "single_changes",
    "suggest_spacers",
    "suggest_tyres",
]
