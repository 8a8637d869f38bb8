"""The one way to say no: a sentence that tells what is wrong, where, and what to do."""


class Refusal(ValueError):
    """Raised when the job can't go on as asked; its text is shown to the engineer as it stands."""
