"""The repository as its own tests read it."""

import ast
import subprocess
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = ("orchard", "scheduling")
PURE_ROOMS = ("orchard/domain", "scheduling/domain", "scheduling/sheets", "scheduling/invites")


def list_files() -> list[str]:
    """Return the paths of the repository's files: git's list, or the tree's without git."""
    try:
        listed = subprocess.run(
            ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, text=True
        ).stdout.split("\0")
    except (OSError, subprocess.CalledProcessError):
        listed = _walk(ROOT)
    # A file that git still lists may just have been taken away.
    return sorted(path for path in listed if path and (ROOT / path).is_file())


def _walk(folder: Path) -> list[str]:
    ignored = [".git", *(ROOT / ".gitignore").read_text().split()]
    found: list[str] = []
    for path in folder.iterdir():
        if any(fnmatch(path.name, pattern.rstrip("/")) for pattern in ignored):
            continue
        found += _walk(path) if path.is_dir() else [path.relative_to(ROOT).as_posix()]
    return found


def list_modules(*folders: str) -> list[str]:
    """Return the Python files under the folders, migrations left out."""
    return [
        path
        for path in list_files()
        if path.endswith(".py")
        and path.startswith(tuple(f"{folder}/" for folder in folders))
        and "/migrations/" not in path
    ]


def read(path: str) -> str:
    """Return a file's text; empty for one that is not text."""
    try:
        return (ROOT / path).read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""


def parse(path: str) -> ast.Module:
    """Return a module's syntax tree."""
    return ast.parse(read(path), filename=path)


def find_functions(
    node: ast.AST, within: str = ""
) -> Iterator[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef]]:
    """Yield every function and method with its dotted name, nested ones too."""
    for child in ast.iter_child_nodes(node):
        name = f"{within}{getattr(child, 'name', '')}"
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef):
            yield name, child
        named = isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)
        yield from find_functions(child, f"{name}." if named else within)
