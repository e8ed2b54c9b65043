"""A changed table, default or class body put into modules that are loaded already.

The module's faulty text is run again aside. Where a name then has another value, every loaded module that took it over
by that name gets the new one; functions and classes stay the ones that others hold, with new defaults and attributes.
"""

from __future__ import annotations

import dataclasses
import functools
import sys
from collections.abc import Mapping
from types import FunctionType, MappingProxyType, ModuleType
from typing import Any

DATA = (int, float, str, bytes, tuple, list, dict, set, frozenset, MappingProxyType, type(None))


def graft(module: ModuleType, text: str, path: str) -> int:
    """Runs the text and grafts what differs. The number of places changed."""
    fresh: dict[str, Any] = {**_frame(module)}
    exec(compile(text, path, "exec"), fresh)
    changed = 0
    for name, old in list(vars(module).items()):
        new = fresh.get(name)
        if name.startswith("__") or isinstance(old, ModuleType) or name not in fresh:
            continue
        if isinstance(old, FunctionType) and old.__module__ == module.__name__:
            changed += _defaults(old, new)
        elif isinstance(old, type) and old.__module__ == module.__name__:
            changed += _members(old, new)
        elif not isinstance(old, FunctionType | type) and _differs(old, new):
            changed += _spread(module, name, old, _joined(old, new))
    forget()
    return changed


def _frame(module: ModuleType) -> dict[str, Any]:
    return {
        key: value for key, value in vars(module).items() if key in ("__name__", "__package__", "__file__", "__spec__")
    }


def _differs(old: Any, new: Any) -> bool:
    """By what they show: objects of classes made anew are never equal to the old ones."""
    if isinstance(old, functools._lru_cache_wrapper) or callable(old):
        return False
    return repr(old) != repr(new)


def _joined(old: Any, new: Any) -> Any:
    """The new value, in the classes that the loaded modules know."""
    if dataclasses.is_dataclass(old) and type(old).__name__ == type(new).__name__:
        for field in dataclasses.fields(old):
            object.__setattr__(old, field.name, _joined(getattr(old, field.name), getattr(new, field.name)))
        return old
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        made = {key: _joined(old.get(key, value), value) for key, value in new.items()}
        return MappingProxyType(made) if isinstance(old, MappingProxyType) else made
    if isinstance(old, tuple) and isinstance(new, tuple) and len(old) == len(new):
        parts = [_joined(a, b) for a, b in zip(old, new, strict=True)]
        return type(old)(*parts) if hasattr(old, "_fields") else tuple(parts)
    return new


def _spread(module: ModuleType, name: str, old: Any, new: Any) -> int:
    changed = 0
    for other in list(sys.modules.values()):
        if not isinstance(other, ModuleType) or not other.__name__.startswith(("wheelcad", "tests")):
            continue
        if other is module or (name in vars(other) and vars(other)[name] is old):
            setattr(other, name, new)
            changed += 1
    return changed


def _defaults(old: FunctionType, new: Any) -> int:
    if not isinstance(new, FunctionType):
        return 0
    changed = 0
    for which in ("__defaults__", "__kwdefaults__"):
        if repr(getattr(old, which)) != repr(getattr(new, which)):
            setattr(old, which, _joined(getattr(old, which), getattr(new, which)))
            changed += 1
    return changed


def _members(old: type, new: Any) -> int:
    changed = 0
    for name, value in list(vars(old).items()):
        other = vars(new).get(name)
        if isinstance(value, FunctionType):
            changed += _defaults(value, other)
        elif isinstance(value, DATA) and not name.startswith("__") and repr(value) != repr(other):
            setattr(old, name, other)
            changed += 1
    return changed


def forget() -> None:
    """Empties every cache of the loaded modules."""
    for other in list(sys.modules.values()):
        if isinstance(other, ModuleType) and other.__name__.startswith("wheelcad"):
            for value in list(vars(other).values()):
                if isinstance(value, functools._lru_cache_wrapper):
                    value.cache_clear()
