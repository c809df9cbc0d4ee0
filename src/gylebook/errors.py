"""Every exception of Gylebook, in one tree.

GylebookError              exit 1  anything the book refuses or cannot do
├── InputError             exit 2  something written cannot be read: names the field, the fault and the remedy
│   └── OutOfRange         exit 2  readable, but outside the range in which a relation holds
├── NotFound               exit 2  no such brew, kit, sum, source ...
├── Refused                exit 3  the entry is readable but must not happen in this state
├── Conflict               exit 4  somebody else wrote first
├── JournalDamaged         exit 5  stored entries do not read back
├── StoreUnavailable       exit 6  the database cannot be reached or is busy
└── BackupError            exit 7  a backup or restore did not verify; nothing was changed

Each message is one sentence that a brewer can act on.
"""

from __future__ import annotations

from gylebook.phrases import joined, say


class GylebookError(Exception):
    """The root: everything raised on purpose."""

    exit_code = 1


class InputError(GylebookError):
    """Something written could not be read.

    Parameters
    ----------
    field
        The field's label or name, as the brewer sees it.
    problem
        What was wrong, without a full stop.
    remedy
        What to do, without a full stop.
    suggestion
        The obvious reading, as text to be confirmed; never applied silently.
    """

    exit_code = 2

    def __init__(self, field: str, problem: str, remedy: str, suggestion: str | None = None) -> None:
        self.field = field
        self.problem = problem
        self.remedy = remedy
        self.suggestion = suggestion
        tail = say(" Did you mean {suggestion}?", suggestion=suggestion) if suggestion else ""
        super().__init__(
            say("{field}: {problem}; {remedy}.{tail}", field=field, problem=problem, remedy=remedy, tail=tail)
        )


class InputErrors(InputError):
    """Several faults at once, so that one look mends them all."""

    def __init__(self, errors: list[InputError]) -> None:
        self.errors = errors
        first = errors[0]
        super().__init__(first.field, first.problem, first.remedy, first.suggestion)
        self.args = (joined(" ", (str(error) for error in errors)),)


class OutOfRange(InputError):
    """A value lies outside the range in which a relation was measured."""


class NotFound(GylebookError):
    """The thing named does not exist in this book."""

    exit_code = 2


class Refused(GylebookError):
    """The entry can be read but must not happen now; the message says why and what would change that."""

    exit_code = 3


class Conflict(GylebookError):
    """Another writer was first; read again and repeat."""

    exit_code = 4


class JournalDamaged(GylebookError):
    """Stored entries do not read back; nothing is guessed."""

    exit_code = 5


class StoreUnavailable(GylebookError):
    """The database is missing, locked or refuses."""

    exit_code = 6


class BackupError(GylebookError):
    """A backup or a restore did not verify."""

    exit_code = 7
