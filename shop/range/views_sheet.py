"""Pages of prices and stock, of the catalogue's texts, and of its files."""

from __future__ import annotations

import tempfile
import zipfile
import zlib
from pathlib import Path
from typing import IO, Any

from django import forms
from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_safe

from configurator.catalogue import exporting, loader
from configurator.catalogue.files import kinds
from configurator.catalogue.languages import NAME

from . import prices
from .access import edits, looks
from .texts_form import language_name, languages
from .texts_list import TextsForm, keep_texts, listed
from .views_lists import frame

MOST_BYTES = 50 * 1024 * 1024
SHOWN = 100


@looks
@require_http_methods(["GET", "HEAD", "POST"])
def sheet(request: HttpRequest) -> HttpResponse:
    """Show prices and counts of goods, and keep what is changed."""
    form = prices.SheetFilter(request.GET)
    asked = form.cleaned_data if form.is_valid() else {}
    data = request.POST if request.method == "POST" else None
    page, lines = prices.sheet(asked, request.GET.get("page"), data)
    status = 200
    if data is not None:
        done, counted = prices.keep(lines, request.user)
        if done:
            messages.success(request, _("Prices changed in the draft: %(n)s.") % {"n": done})
        if counted:
            messages.success(request, _("Counts set on the shelf: %(n)s.") % {"n": counted})
        if not any(line.form.errors for line in lines):
            return redirect(request.get_full_path())
        status = 422
    kept = request.GET.copy()
    kept.pop("page", None)
    context = {
        "form": form,
        "page": page,
        "lines": lines,
        "kept": kept.urlencode(),
        "is_narrowed": any(asked.values()),
        **frame(request),
    }
    return render(request, "shop/range/sheet.html", context, status=status)


@edits
@require_http_methods(["GET", "HEAD", "POST"])
def texts(request: HttpRequest, language: str) -> HttpResponse:
    """List what a language lacks or has from an older text, and take translations."""
    if language not in languages():
        raise Http404
    rows = listed(language)
    form = TextsForm(request.POST or None, rows=rows)
    if request.method == "POST" and form.is_valid():
        done = keep_texts(form, rows, language, request.user)
        messages.success(request, _("Translations kept in the draft: %(n)s.") % {"n": done})
        return redirect("shop:range_texts", language)
    context = {
        "language": language,
        "language_name": language_name(language),
        "others": [(code, language_name(code)) for code in languages() if code != language],
        "form": form,
        "lines": [(row, form[row.field_name]) for row in rows],
        **frame(request),
    }
    return render(request, "shop/range/texts.html", context)


class FilesForm(forms.Form):
    """A folder of files as one archive."""

    file = forms.FileField(label=gettext_lazy("The catalogue’s files as a ZIP archive"))
    over_newer = forms.BooleanField(
        required=False,
        label=gettext_lazy("Load although people have edited since what the files say otherwise"),
    )
    prune = forms.BooleanField(
        required=False, label=gettext_lazy("Remove rows that the files no longer hold and nothing uses")
    )

    def clean_file(self) -> Any:
        """Take an archive of bounded size that holds files of the catalogue."""
        file = self.cleaned_data["file"]
        try:
            with zipfile.ZipFile(file) as archive:
                if sum(one.file_size for one in archive.infolist()) > MOST_BYTES:
                    raise forms.ValidationError(_("The archive holds more than 50 MB."))
                if not _wanted(archive):
                    raise forms.ValidationError(_("The archive holds no file of a catalogue."))
                _read_through(archive)
        except (zipfile.BadZipFile, OSError, NotImplementedError):
            raise forms.ValidationError(_("This is not a ZIP archive.")) from None
        return file


def _read_through(archive: zipfile.ZipFile) -> None:
    """Refuse an archive whose files do not unpack: damaged, or locked by a password."""
    try:
        damaged = archive.testzip()
    except (RuntimeError, zlib.error, EOFError):
        damaged = "locked"
    if damaged:
        raise forms.ValidationError(_("A file in the archive is damaged or needs a password."))


def _wanted(archive: zipfile.ZipFile) -> dict[str, str]:
    """Return the files of the catalogue within an archive by the name that they are to have."""
    known = {kind.file for kind in kinds()}
    found = {}
    for inside in archive.namelist():
        path = Path(inside)
        if path.name in known or NAME.fullmatch(path.name):
            found[path.name] = inside
        elif path.suffix == ".json" and path.parent.name == "bodies":
            found[f"bodies/{path.name}"] = inside
    return found


@edits
@require_http_methods(["GET", "HEAD", "POST"])
def files(request: HttpRequest) -> HttpResponse:
    """Take the catalogue's files in, or say everything that stands against it."""
    form = FilesForm(request.POST or None, request.FILES or None)
    context: dict[str, Any] = {}
    if request.method == "POST":
        form = FilesForm(request.POST, request.FILES)
        if form.is_valid():
            context = _loaded(request, form.cleaned_data)
            if "done" in context:
                return redirect("shop:range_versions")
    status = 422 if form.is_bound else 200
    context |= {"form": form, **frame(request)}
    return render(request, "shop/range/files.html", context, status=status)


def _loaded(request: HttpRequest, asked: dict[str, Any]) -> dict[str, Any]:
    """Load an archive; return what is to be shown, with ``done`` once it is live."""
    with tempfile.TemporaryDirectory() as folder:
        _unpack(asked["file"], Path(folder))
        try:
            done = loader.load(
                Path(folder), prune=asked["prune"], over_newer=asked["over_newer"], by=request.user
            )
        except loader.NewerEditsError as error:
            return {"newer": list(map(str, error.edits[:SHOWN])), "newer_count": len(error.edits)}
        except loader.CatalogueError as error:
            return {"findings": error.findings[:SHOWN], "finding_count": len(error.findings)}
    if done.changed:
        said = _("It is live as version %(number)s.") % {"number": done.version.number}
        messages.success(request, said)
    else:
        messages.info(request, _("Nothing differed from what is live."))
    for note in (*done.gone[:SHOWN], *map(str, done.notes[:SHOWN])):
        messages.warning(request, note)
    return {"done": done}


def _unpack(file: Any, folder: Path) -> None:
    file.seek(0)
    with zipfile.ZipFile(file) as archive:
        for name, inside in _wanted(archive).items():
            (folder / name).parent.mkdir(exist_ok=True)
            (folder / name).write_bytes(archive.read(inside))


@looks
@require_safe
def download(request: HttpRequest) -> HttpResponseBase:
    """Give out the whole catalogue as an archive of the files that it can be loaded from."""
    kept: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - the answer closes it once it is sent
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in exporting.files():
            archive.writestr(name, content)
    kept.seek(0)
    name = f"catalogue-{timezone.localdate():%Y-%m-%d}.zip"
    return FileResponse(kept, as_attachment=True, filename=name, content_type="application/zip")
