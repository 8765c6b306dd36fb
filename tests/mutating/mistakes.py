"""The mistakes that can be made in a file: mutmut's own, put to every function, decorated or not.

Left alone are annotations, decorators, what a function has by default, and texts for people, at which
other tests look.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import libcst as cst
from libcst.metadata import MetadataWrapper, PositionProvider
from mutmut.mutation.mutators import mutation_operators

FOR_PEOPLE = {"_", "gettext", "gettext_lazy", "ngettext", "ngettext_lazy", "pgettext", "pgettext_lazy"}
LEFT_ALONE = {"len", "isinstance", *FOR_PEOPLE}


@dataclass(frozen=True)
class Mistake:
    """One mistake: a node of a file and another in its place, in the outermost function it is in, or none."""

    path: str
    number: int
    line: int
    function: str
    first_line: int
    module: cst.Module
    node: cst.CSTNode
    other: cst.CSTNode

    @cached_property
    def text(self) -> str:
        """Return the whole text of the file with the mistake."""
        changed = self.module.deep_replace(self.node, self.other)
        return changed.code  # type: ignore[attr-defined]

    @property
    def name(self) -> str:
        """Return what names it as long as its file stays the same."""
        return f"{self.path}:{self.line}#{self.number}"

    def runs(self) -> bool:
        """Whether the file still compiles, and is another."""
        try:
            compile(self.text, self.path, "exec")
        except SyntaxError:
            return False
        return self.text != self.module.code

    def __str__(self) -> str:
        was, now = (self.module.code_for_node(node) for node in (self.node, self.other))
        lines = (textwrap.shorten(text, 160) for text in (was, now))
        return "\n    ".join((f"{self.name} {self.function}", *lines))


class _Finder(cst.CSTVisitor):
    """Goes through a file and keeps every node that can be another, with the function around it."""

    METADATA_DEPENDENCIES = (PositionProvider,)

    def __init__(self) -> None:
        super().__init__()
        self.around: list[str] = []
        self.function: cst.FunctionDef | None = None
        self.found: list[tuple[cst.CSTNode, cst.CSTNode, str, cst.FunctionDef | None]] = []

    def on_visit(self, node: cst.CSTNode) -> bool:
        if isinstance(node, cst.Annotation | cst.Decorator | cst.Parameters | cst.ImportFrom | cst.Import):
            return False
        if isinstance(node, cst.Call) and isinstance(node.func, cst.Name) and node.func.value in LEFT_ALONE:
            return False
        if isinstance(node, cst.ClassDef | cst.FunctionDef) and self.function is None:
            self.around.append(node.name.value)
            if isinstance(node, cst.FunctionDef):
                self.function = node
        for kind, operator in mutation_operators:
            if isinstance(node, kind):
                name = ".".join(self.around)
                self.found += [(node, other, name, self.function) for other in operator(node)]
        return True

    def on_leave(self, node: cst.CSTNode) -> None:
        if node is self.function:
            self.function = None
            self.around.pop()
        elif isinstance(node, cst.ClassDef) and self.function is None:
            self.around.pop()


def mistakes(root: Path, path: str, *, tables: bool = False) -> Iterator[Mistake]:
    """Yield every mistake of a file; ``tables``: those outside functions too."""
    wrapper = MetadataWrapper(cst.parse_module((root / path).read_text()))
    finder = _Finder()
    wrapper.visit(finder)
    positions = wrapper.resolve(PositionProvider)
    for number, (node, other, name, function) in enumerate(finder.found):
        if function is None and not tables:
            continue
        line = positions[node].start.line if node in positions else 0
        first = positions[function].start.line if function else 0
        place = (path, number, line, name if function else "", first)
        yield Mistake(*place, wrapper.module, node, other)
