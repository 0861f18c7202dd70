"""The errors that the core raises."""


class CoreError(Exception):
    """A question that the core refuses to answer.

    Parameters
    ----------
    code : str
        Stable name of the fault, for programs.
    field : str
        Name of the value at fault, as the raising function calls it.
    message : str
        What is wrong, the value given, what is allowed, and what to do.

    """

    def __init__(self, code: str, field: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.field = field
        self.message = message


class OutOfRange(CoreError):  # noqa: N818 - the name says the fault; all end up as one kind of problem
    """A value outside the range for which a figure or formula is published."""
