"""Problem and answer documents as files: read whole, written in one stroke, and the exit codes.

For the commands `solve` and `judge`. What the documents mean is in
`scheduling.domain.documents`.
"""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from scheduling.domain.documents.faults import DocumentFault
from scheduling.domain.documents.parsing import MOST_BYTES, decode_document

# Exit codes of both commands. 1 is a fault of our own for `solve`, broken rules for `judge`.
DONE, BROKEN, BAD_INPUT, NO_ANSWER, UNDECIDED = 0, 1, 2, 3, 4
FAULT = 1
STANDARD = "-"  # standard input or output


class FileTrouble(Exception):
    """A file that cannot be read or written, in a sentence with what to do."""


def read_document(name: str) -> str:
    """Return the text of a document's file, or of standard input for "-".

    Raises:
        FileTrouble: If there is no such file or it cannot be read.
        DocumentFault: If it is too long or not UTF-8.
    """
    try:
        if name == STANDARD:
            return decode_document(sys.stdin.buffer.read(MOST_BYTES + 1))
        with Path(name).open("rb") as file:
            return decode_document(file.read(MOST_BYTES + 1))
    except OSError as problem:
        raise FileTrouble(
            f"{name} cannot be read ({problem.strerror}); give the path of a document."
        ) from problem


def check_can_write(problem: str, output: str) -> None:
    """Refuse an answer file that cannot be written, before any search.

    Raises:
        FileTrouble: If the folder is not there or closed, or the file is the problem itself.
    """
    if output == STANDARD:
        return
    path = Path(output)
    if path.exists() and not path.is_file():
        raise FileTrouble(f"{output} is no file; name a file, or - for standard output.")
    folder = path.resolve().parent
    if not folder.is_dir():
        raise FileTrouble(f"The folder {folder} is not there; make it, or name another file.")
    if not os.access(folder, os.W_OK):
        raise FileTrouble(f"The folder {folder} cannot be written to; name another file.")
    if problem != STANDARD and path.exists() and path.samefile(problem):
        raise FileTrouble(f"{output} is the problem itself; name another file for the answer.")


def has_answer(output: str) -> bool:
    """Say whether a file is there already that an undecided search would overwrite."""
    return output != STANDARD and Path(output).exists()


def write_answer(output: str, text: str) -> None:
    """Put an answer in its file at once: whoever looks sees the old one or the whole new one.

    Written beside it and moved there, so that nothing half written is left.

    Raises:
        FileTrouble: If it cannot be written.
    """
    if output == STANDARD:
        sys.stdout.write(text)
        sys.stdout.flush()
        return
    path = Path(output).resolve()
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with _removed_on_failure(beside), beside.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
            os.replace(beside, path)
    except OSError as problem:
        raise FileTrouble(
            f"{output} cannot be written ({problem.strerror}); what was there is unchanged."
        ) from problem


@contextmanager
def _removed_on_failure(path: Path) -> Iterator[None]:
    try:
        yield
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def seconds_since_start() -> float:
    """Return the seconds since this program was started, its own loading included.

    0 where the system does not say (anything but Linux): then the loading is not counted.
    """
    try:
        fields = Path("/proc/self/stat").read_text().rpartition(")")[2].split()
        started = int(fields[19]) / os.sysconf("SC_CLK_TCK")
        return max(0.0, time.clock_gettime(time.CLOCK_BOOTTIME) - started)
    except (OSError, ValueError, IndexError, AttributeError):
        return 0.0


def fault_words(name: str, fault: DocumentFault) -> str:
    """Return a document's fault with the file it is in."""
    return f"{'Standard input' if name == STANDARD else name}: {fault.message}"
