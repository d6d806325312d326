"""The kernel's cache key covers every module its code comes from, so that no edit can run stale."""

from __future__ import annotations

import ast
from pathlib import Path

from stockproof.power import compiled

FOLDER = Path(compiled.__file__).parent
#: Read when a module is imported, never inside the kernel: values reach it as numbers in arrays.
DATA_ONLY = {"assumed", "sources"}


def imported(module: str) -> set[str]:
    """Modules of this room that a module imports."""
    found = set()
    for node in ast.walk(ast.parse((FOLDER / f"{module}.py").read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            parts = node.module.split(".")
            if parts[:2] == ["stockproof", "power"]:
                found |= {parts[2]} if len(parts) > 2 else {alias.name for alias in node.names}
    return found


def test_the_stamp_covers_what_the_kernel_is_made_of() -> None:
    seen, queue = set(), ["kernel"]
    while queue:
        module = queue.pop()
        if module not in seen:
            seen.add(module)
            queue += sorted(imported(module) - DATA_ONLY)
    assert seen == set(compiled.SOURCES)
