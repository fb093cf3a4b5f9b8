"""The planner's own faults: bugs that must never be shown as "impossible".

Not for anything a user can put right; those are in `orchard.domain.errors`.
"""


class EngineFault(RuntimeError):
    """An answer of the solver that an independent check refuses.

    Args:
        message: What was found, in one sentence.
        findings: The sentences of the check, one for each thing found.
    """

    def __init__(self, message: str, findings: tuple[str, ...] = ()) -> None:
        super().__init__(" ".join((message, *findings)))
        self.findings = findings
