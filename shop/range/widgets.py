"""Inputs of the catalogue's forms: several choices in their order, points of a profile."""

from __future__ import annotations

from typing import Any

from django import forms
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

SPARE = 2


class InOrder(forms.Select):
    """Several choices in their order, a select each, with spare ones behind; works without script."""

    template_name = "shop/range/in_order.html"
    allow_multiple_selected = False

    def __init__(self, *args: Any, negate: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.negate = negate

    def _render(self, template_name: str, context: dict[str, Any], renderer: Any = None) -> SafeString:
        """Render with the site's own templates."""
        return render_to_string(template_name, context)

    def format_value(self, value: Any) -> list[str]:
        """Return the chosen values, as the base wants them."""
        return [str(one) for one in value or ()]

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """Return what the template shows: one row a choice, and the spare ones."""
        chosen = [str(one) for one in (value.split() if isinstance(value, str) else value or ())]
        context: dict[str, Any] = super().get_context(name, (), attrs)
        groups = [(str(label), list(found)) for label, found in self._groups()]
        known = {code for _label, found in groups for code, _name in found}
        rows = []
        for number, one in enumerate([*chosen, *[""] * SPARE]):
            bare = one.removeprefix("!")
            rows.append(
                {
                    "number": number,
                    "value": bare,
                    "no": one.startswith("!"),
                    "odd": bare not in known and bare,
                }
            )
        context["widget"] |= {"rows": rows, "groups": groups, "negate": self.negate}
        return context

    def _groups(self) -> list[tuple[str, list[tuple[str, str]]]]:
        found: list[tuple[str, list[tuple[str, str]]]] = []
        plain: list[tuple[str, str]] = []
        for value, label in self.choices:
            if isinstance(label, list | tuple):
                found.append((str(value), [(str(code), str(name)) for code, name in label]))
            else:
                plain.append((str(value), str(label)))
        return [("", plain), *found] if plain else found

    def value_from_datadict(self, data: Any, files: Any, name: str) -> list[str]:
        """Return the codes that were chosen, those to be absent with ``!`` before them."""
        values = data.getlist(name) if hasattr(data, "getlist") else data.get(name) or []
        not_these = set(data.getlist(f"{name}-not")) if hasattr(data, "getlist") else set()
        return [f"!{one}" if str(n) in not_these else one for n, one in enumerate(values) if one]

    def value_omitted_from_data(self, data: Any, files: Any, name: str) -> bool:
        """Whether the form held no such field."""
        return name not in data
