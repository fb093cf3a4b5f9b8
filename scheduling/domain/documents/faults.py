"""What is wrong with a document: one sentence that names the key and the line."""

from orchard.domain.errors import RosterError

Step = str | int  # a key of an object, or a place in a list
Path = tuple[Step, ...]


class DocumentFault(RosterError):
    """A document that cannot be read.

    Args:
        sentence: What was found, what may stand there, what to do.
        path: Where, from the outermost object inwards.
        line: The line of the document, counted from 1.
    """

    code = "document"

    def __init__(self, sentence: str, path: Path = (), line: int = 1) -> None:
        where = f"{path_words(path)} (line {line})" if path else f"Line {line}"
        super().__init__(f"{where}: {sentence}")
        self.path = path
        self.line = line


def path_words(path: Path) -> str:
    """Return a path as people write it: people[3].skills."""
    words = ""
    for step in path:
        if isinstance(step, int):
            words += f"[{step}]"
        elif step.replace("_", "").isalnum():
            words += f".{step}" if words else step
        else:
            words += f"[“{step[:60]}”]"
    return words
