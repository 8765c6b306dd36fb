"""The vehicle's own colour and the accent, where they may be another than those listed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from configurator.builds.selection import BODY_CODE, Selection

from .forms_fields import HEX
from .forms_values import OWN, initial_tone

Nearest = Callable[[str], str | None]


class ColourFields(forms.Form):
    """What is asked of a colour that is none of the listed ones."""

    nearest: Nearest | None = None
    chosen: Selection | None = None

    body_code = forms.CharField(
        label=_("Its code or name"),
        required=False,
        max_length=30,
        validators=[RegexValidator(BODY_CODE, _("Letters, digits, blanks and hyphens, as on the plate."))],
        help_text=_("On the plate at the door, under the bonnet or in the boot. Empty: we read it."),
        widget=forms.TextInput(attrs={"autocapitalize": "characters", "spellcheck": "false"}),
    )
    body_tone = forms.CharField(
        label=_("About this tone, for the picture"),
        required=False,
        validators=[HEX],
        widget=forms.TextInput(attrs={"type": "color"}),
    )
    accent_wanted = forms.CharField(
        label=_("Your own colour"),
        required=False,
        validators=[HEX],
        widget=forms.TextInput(attrs={"type": "color"}),
    )

    accent_way = forms.ChoiceField(
        label=_("What is to be done about it?"),
        required=False,
        choices=[
            ("nearest", _("Take your nearest paint")),
            ("mixed", _("Mix it for me")),
            ("decide", _("Decide with me: show me samples first")),
        ],
        widget=forms.RadioSelect,
    )

    def clean(self) -> dict[str, Any]:
        """What was typed of another colour counts only while it is another one."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("body_finish") != OWN:
            for name in ("body_code", "body_tone"):
                self.errors.pop(name, None)
        return data

    def body(self) -> dict[str, Any]:
        """Return what the selection says of the vehicle's own colour."""
        data = self.cleaned_data
        if data.get("body_finish") != OWN:
            return {"body_finish": data.get("body_finish") or None}
        tone = str(data.get("body_tone") or initial_tone(self.chosen)).lower()
        return {"body_hex": tone, "body_code": " ".join(data.get("body_code", "").split())}

    def accent(self) -> dict[str, Any]:
        """Return what the selection says of the accent: for a wish, the nearest paint with it."""
        data = self.cleaned_data
        wanted = data.get("accent_wanted", "").lower() if data.get("accent") == OWN else ""
        if not wanted:
            chosen = data.get("accent")
            return {"accent": None if chosen in ("", None, OWN) else chosen}
        found = {"accent_wanted_hex": wanted, "accent_way": data.get("accent_way") or "nearest"}
        return {"accent": self.nearest(wanted) if self.nearest else None, **found}
