"""Forms of the steps: each holds some fields of the workshop, and what was seen when it was opened."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from typing import Any

from django import forms
from django.conf import settings
from django.core.validators import RegexValidator
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from stdnum import iban
from stdnum.exceptions import ValidationError as WrongNumber

from configurator.catalogue import own_workshop
from configurator.catalogue.models import Workshop
from configurator.pages.told import told
from configurator.pictures.logo import Logo, process_logo
from configurator.pictures.photos import PhotoRefused
from shop.jobs.models import Job

from . import accent
from .field_words import HELP, LABELS
from .languages import offered, own_language
from .models import SiteState
from .steps import BY_ID

RATE = ("tax_rate_pct", "tax_rate_from", "tax_rate_before_pct")
TEXTS = ("terms", "privacy", "local_codes")
OPTIONAL = {"legal_name", "delivery_street", "delivery_postcode", "delivery_town", "tax_number", "endpoint",
            "bic", "privacy", "privacy_version", "local_codes", "cancel_freely", "answer_days",
            "tax_rate_from", "tax_rate_before_pct", "no_tax_why"}  # fmt: skip
MEANT = {"UK": "GB", "EL": "GR"}
CODES = {
    "country": RegexValidator(r"^[A-Z]{2}\Z", gettext_lazy("Two capital letters, as DE.")),
    "currency": RegexValidator(r"^[A-Z]{3}\Z", gettext_lazy("Three capital letters, as EUR.")),
    "endpoint": RegexValidator(r"^[0-9]{4}:[^\s:]\S*\Z", gettext_lazy("Four digits, a colon, the number.")),
}


class WorkshopForm(forms.ModelForm):
    """Some fields of the workshop's record; refuses to write over what somebody else saved meanwhile."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)

    class Meta:
        model = Workshop
        fields: tuple[str, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.stood = digest(forms.model_to_dict(self.instance, fields=self._meta.fields))
        self.initial["seen"] = self.stood
        for name in self._own():
            field = self.fields[name]
            field.label, field.help_text = LABELS[name], HELP.get(name, "")
            field.required = name not in OPTIONAL
            if name in CODES:
                field.validators.append(CODES[name])
            if name in TEXTS:
                field.widget.attrs["rows"] = 12
            if isinstance(field, forms.DateField):
                field.widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def _own(self) -> Iterator[str]:
        return (name for name in self.fields if name in LABELS)

    def clean_iban(self) -> str:
        """Return the account number without blanks if its check digits hold (ISO 13616-1)."""
        try:
            return str(iban.validate(self.cleaned_data["iban"], check_country=False))
        except WrongNumber:
            raise forms.ValidationError(_("The IBAN’s check digits or its length are wrong.")) from None

    def clean_country(self) -> str:
        """Return the code that ISO 3166-1 has, which is not the one on a number plate or in a VAT number."""
        told = str(self.cleaned_data["country"])
        if told in MEANT:
            raise forms.ValidationError(
                _("Write %(code)s: invoices name countries so.") % {"code": MEANT[told]}
            )
        return told

    def clean_answer_days(self) -> int:
        """Left empty, no day is promised."""
        return int(self.cleaned_data["answer_days"] or 0)

    def clean_labour_rate_per_h(self) -> Any:
        """An hour's work costs something, or every price of work would be nothing."""
        value = self.cleaned_data["labour_rate_per_h"]
        if value is not None and value <= 0:
            raise forms.ValidationError(_("An hour’s work must cost more than nothing."))
        return value

    def clean(self) -> dict[str, Any]:
        """Judge what the fields alone do not, as the catalogue's files are judged."""
        data: dict[str, Any] = super().clean() or self.cleaned_data
        for name, message in own_workshop.problems({n: data[n] for n in self._own() if n in data}):
            if name not in self.errors:
                self.add_error(name, message)
        if data.get("seen") and data["seen"] != self.stood:
            self.data = {**self.data.dict(), "seen": self.stood}  # type: ignore[attr-defined]
            self.add_error(None, _("Somebody else has saved this meanwhile. Save again to keep yours."))
        return data

    def values(self) -> dict[str, Any]:
        """Return the workshop's fields as typed."""
        return {name: self.cleaned_data[name] for name in self._own()}

    def texts(self) -> dict[str, dict[str, str]]:
        """Return translations of the workshop's texts."""
        return {}


def digest(values: dict[str, Any]) -> str:
    """Return a short mark of what stands there, by which a change is known."""
    plain = json.dumps({name: str(value) for name, value in values.items()}, sort_keys=True)
    return hashlib.sha256(plain.encode()).hexdigest()[:16]


class TaxForm(WorkshopForm):
    """Tax and rates: a rate that changes keeps what holds until then."""

    def clean(self) -> dict[str, Any]:
        """Take the rate that stood here for the one before, where nobody says another."""
        data, stood = self.cleaned_data, self.instance
        rate, first, before = (data.get(name) for name in RATE)
        changed = rate is not None and rate != stood.tax_rate_pct
        if changed and first and first != stood.tax_rate_from and before in (None, stood.tax_rate_before_pct):
            data["tax_rate_before_pct"] = stood.tax_rate_pct
        if changed and not first and "tax_rate_from" not in self.errors and Job.objects.exists():
            self.add_error(
                "tax_rate_from", _("From which day? What is handed over before it keeps the rate before.")
            )
        return super().clean()


class TermsForm(WorkshopForm):
    """The terms and notices in every language of the site, and that they were checked."""

    checked = forms.BooleanField(
        label=gettext_lazy("We have had these texts checked, and they are ours"),
        required=False,
        help_text=gettext_lazy("Until then customers are not let in."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        own, others = own_language(), offered()
        for name in TEXTS:
            self.fields[name].widget.attrs["lang"] = own
        for code, language in others if len(others) > 1 else []:
            for name in TEXTS:
                if code == own:
                    self.fields[name].label = f"{LABELS[name]}: {language}"
                    continue
                self.fields[f"{name}-{code}"] = forms.CharField(
                    label=f"{LABELS[name]}: {language}",
                    required=False,
                    max_length=20000,
                    strip=True,
                    initial=own_workshop.translation(name, code),
                    widget=forms.Textarea(attrs={"rows": 8, "lang": code}),
                )
        translated = (name for name in self.fields if "-" in name)
        own_words = ("terms_version", "privacy_version", "cancel_freely", "answer_days")
        self.order_fields([*TEXTS, *translated, *own_words, "checked", "seen"])

    def texts(self) -> dict[str, dict[str, str]]:
        """Return what each text says in the other languages."""
        found: dict[str, dict[str, str]] = {name: {} for name in TEXTS}
        for field, value in self.cleaned_data.items():
            name, dash, code = field.partition("-")
            if dash:
                found[name][code] = value.replace("\r\n", "\n")
        return found

    def values(self) -> dict[str, Any]:
        """Return the texts with plain line ends, as the files have them."""
        return {n: v.replace("\r\n", "\n") if isinstance(v, str) else v for n, v in super().values().items()}


class LanguagesForm(forms.Form):
    """Which languages customers may choose."""

    languages = forms.MultipleChoiceField(
        label=gettext_lazy("Customers may choose"), widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["languages"].choices = settings.LANGUAGES  # type: ignore[attr-defined]


class LookForm(forms.Form):
    """Logo and accent; a colour that cannot be read is answered with the nearest that can."""

    accent = forms.CharField(
        label=gettext_lazy("Accent colour"),
        required=False,
        help_text=gettext_lazy("Of links and buttons. It must be readable; on dark pages it is lightened."),
        validators=[RegexValidator(r"^#[0-9a-fA-F]{6}\Z", gettext_lazy("A colour such as #1f5f8b."))],
        widget=forms.TextInput(attrs={"placeholder": "#0c5361", "maxlength": 7, "spellcheck": "false"}),
    )
    logo = forms.FileField(
        label=gettext_lazy("Logo"),
        required=False,
        help_text=gettext_lazy("PNG, JPEG or WebP, at most 5 MB; best on a transparent ground."),
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/webp"}),
    )
    remove_logo = forms.BooleanField(label=gettext_lazy("Take the logo away"), required=False)

    def __init__(self, *args: Any, state: SiteState, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial["accent"] = state.accent
        if not state.logo:
            del self.fields["remove_logo"]

    def clean_accent(self) -> str:
        """Return a colour in which links can be read."""
        colour = str(self.cleaned_data["accent"]).lower()
        if colour and not accent.reads_well(colour):
            raise forms.ValidationError(
                _("Hard to read: %(ratio)s to 1, and 4.5 is needed. The nearest that reads well: %(hex)s.")
                % {"ratio": f"{accent.worst(colour):.1f}", "hex": accent.nearest(colour)}
            )
        return colour

    def clean_logo(self) -> Logo | None:
        """Return the logo drawn afresh."""
        file = self.cleaned_data["logo"]
        if not file:
            return None
        try:
            return process_logo(file.read())
        except PhotoRefused as refusal:
            raise forms.ValidationError(told(refusal.said)) from refusal


def form_of(step_id: str) -> type[WorkshopForm]:
    """Return the form of a step that keeps fields of the workshop."""
    base = {"terms": TermsForm, "tax": TaxForm}.get(step_id, WorkshopForm)
    made: Any = forms.modelform_factory(Workshop, form=base, fields=BY_ID[step_id].fields)
    return made
