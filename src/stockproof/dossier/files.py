"""Writing results: a whole folder at once or not at all, and no file that is not ours is ever touched.

A folder is first written beside its place under a temporary name and then takes the place in one step. Its
`contents.json` lists every file with its hash; a later run may replace a folder only if nothing else lies in it.
"""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import shutil
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from stockproof.errors import InternalError, OutputError

__all__ = ["CONTENTS", "write_files", "write_folder"]

CONTENTS = "contents.json"
SHOWN = 3


def write_folder(out: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write a whole folder of files, replacing what an earlier run wrote there, and give the paths.

    Parameters
    ----------
    out : Path
        The folder; it is made if need be.
    files : mapping
        Bytes by name; a name may have folders in it (`tables/price.csv`).

    Raises
    ------
    OutputError
        The folder holds anything an earlier run did not write, or cannot be written; it is then as it was.
    """
    whole = {**files, CONTENTS: contents(files)}
    target = Path(os.path.abspath(out))
    try:
        _refuse_foreign(target, out)
        target.parent.mkdir(parents=True, exist_ok=True)
        made = target.parent / f".{target.name}.{secrets.token_hex(4)}.new"
        try:
            _fill(made, whole)
            _swap(made, target)
        finally:
            shutil.rmtree(made, ignore_errors=True)
    except OSError as error:
        raise _as_output_error(error, out) from error
    return tuple(out / name for name in sorted(whole))


def write_files(out: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write single files into a folder that may hold other things; each file is whole or not written.

    Raises
    ------
    OutputError
        A file cannot be written.
    """
    target = Path(os.path.abspath(out))
    made = target / f".{secrets.token_hex(4)}.new"
    try:
        target.mkdir(parents=True, exist_ok=True)
        try:
            _fill(made, files)
            for name in sorted(files):
                place = target.joinpath(*_parts(name))
                place.parent.mkdir(parents=True, exist_ok=True)
                os.replace(made.joinpath(*_parts(name)), place)
        finally:
            shutil.rmtree(made, ignore_errors=True)
    except OSError as error:
        raise _as_output_error(error, out) from error
    return tuple(out / name for name in sorted(files))


def contents(files: Mapping[str, bytes]) -> bytes:
    """Give the list of files with the SHA-256 of each, as JSON."""
    hashes = {name: hashlib.sha256(files[name]).hexdigest() for name in sorted(files)}
    return (json.dumps({"files": hashes}, indent=2, ensure_ascii=False) + "\n").encode()


def _refuse_foreign(target: Path, out: Path) -> None:
    """Stop before a folder is replaced that holds anything an earlier run did not list."""
    if not target.exists() and not target.is_symlink():
        return
    if target.is_symlink() or not target.is_dir():
        raise OutputError(f"{out}: is no folder; name another place for the results")
    ours = _listed(target) | {CONTENTS}
    found = sorted(
        path.relative_to(target).as_posix() for path in target.rglob("*") if path.is_symlink() or not path.is_dir()
    )
    foreign = [name for name in found if name not in ours]
    if foreign:
        more = f" and {len(foreign) - SHOWN} more" if len(foreign) > SHOWN else ""
        raise OutputError(
            f"{out}: holds files this program did not write ({', '.join(foreign[:SHOWN])}{more}); nothing was changed\n"
            f"    mend: name an empty or new folder"
        )


def _listed(target: Path) -> set[str]:
    """The names an earlier run listed; none where the list is missing or no longer readable."""
    try:
        names = json.loads((target / CONTENTS).read_text(encoding="utf-8"))["files"]
        return {str(name) for name in names}
    except (OSError, ValueError, KeyError, TypeError):
        return set()


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    for name in sorted(files):
        path = folder.joinpath(*_parts(name))
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as file:
            file.write(files[name])
            file.flush()
            os.fsync(file.fileno())


def _parts(name: str) -> tuple[str, ...]:
    parts = PurePosixPath(name).parts
    if not parts or any(part in ("..", "/") or "\\" in part or "\0" in part for part in parts):
        raise InternalError(f"{name!r} is no name for a file of results")
    return parts


def _swap(made: Path, target: Path) -> None:
    """Put the new folder in the old one's place; put the old one back if that fails or is interrupted."""
    if not target.exists():
        os.rename(made, target)
        return
    old = target.parent / f".{target.name}.{secrets.token_hex(4)}.old"
    os.rename(target, old)
    try:
        os.rename(made, target)
    except BaseException:
        os.rename(old, target)
        raise
    shutil.rmtree(old, ignore_errors=True)


def _as_output_error(error: OSError, out: Path) -> OutputError:
    if isinstance(error, OutputError):
        return error
    return OutputError(f"{out}: cannot be written ({error.strerror or error}); what stood there still stands")
