"""Putting a mistake into what runs already: a function's code is swapped for that of the changed file."""

from __future__ import annotations

import functools
import gc
import importlib.abc
import importlib.util
import os
import sys
from collections.abc import Iterator
from types import CodeType, FunctionType
from typing import Any

from .mistakes import Mistake

Functions = dict[tuple[str, str], list[FunctionType]]
NEAR = 6
"""Lines, a function's decorators among them."""


def functions_of(paths: set[str]) -> Functions:
    """Return the living functions of some files by file and name, those inside a decorator too."""
    gc.unfreeze()
    found: Functions = {}
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType) and thing.__code__.co_filename in paths:
            key = (thing.__code__.co_filename, thing.__code__.co_qualname)
            found.setdefault(key, []).append(thing)
    return found


def caches() -> list[Any]:
    """Return what our own functions remember of earlier calls."""
    return [
        thing
        for thing in gc.get_objects()
        if isinstance(thing, functools._lru_cache_wrapper)
        and str(getattr(thing, "__module__", "")).startswith(("shop.", "configurator."))
    ]


def plant(mistake: Mistake, functions: Functions) -> bool:
    """Swap the code of the mistaken function; return whether there was one.

    What it made of functions while its file was imported, as a decorator does, is swapped too.
    """
    path = os.path.abspath(mistake.path)  # noqa: PTH100 - the very text that code objects carry
    codes: dict[str, list[CodeType]] = {}
    for code in _codes(compile(mistake.text, path, "exec")):
        codes.setdefault(code.co_qualname, []).append(code)
    if not _swap(path, mistake.function, codes, functions, mistake.first_line):
        return False
    for name in codes:
        if name.startswith(f"{mistake.function}.<locals>."):
            _swap(path, name, codes, functions)
    return True


def _swap(
    path: str, name: str, codes: dict[str, list[CodeType]], functions: Functions, line: int | None = None
) -> bool:
    """Give every living function of this name its code of the changed file, told apart by where it begins."""
    swapped = False
    for old in functions.get((path, name), ()):
        begins = old.__code__.co_firstlineno
        new = min(codes.get(name, ()), key=lambda code: abs(code.co_firstlineno - begins), default=None)
        # Two functions may share a name, as a property and what sets it.
        if new is None or abs((new.co_firstlineno if line is None else line) - begins) > NEAR:
            continue
        if len(old.__code__.co_freevars) == len(new.co_freevars):
            old.__code__ = new
            swapped = True
    return swapped


def _codes(code: CodeType) -> Iterator[CodeType]:
    for one in code.co_consts:
        if isinstance(one, CodeType):
            yield one
            yield from _codes(one)


class Planted(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module from its changed text: for mistakes outside functions, in a process of their own."""

    def __init__(self, path: str, text: str) -> None:
        self.name = path.removesuffix(".py").replace("/", ".")
        self.path, self.text = os.path.abspath(path), text  # noqa: PTH100

    def find_spec(self, fullname: str, path: Any, target: Any = None) -> Any:
        """Answer for the one module."""
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.path, loader=self)

    def exec_module(self, module: Any) -> None:
        """Run the changed text."""
        exec(compile(self.text, self.path, "exec"), module.__dict__)

    @classmethod
    def install(cls, path: str, text: str) -> None:
        """Have the next import of the file read the changed text."""
        sys.meta_path.insert(0, cls(path, text))
