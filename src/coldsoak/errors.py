"""The one error tree.

Every error speaks to the person at the bench: what was received, what is allowed, what to do next.

```
ColdsoakError
├── InputError (ValueError)          what was typed or handed in cannot be used
│   ├── UnitError                    a number without its unit, or a unit of the wrong kind
│   ├── OutOfRangeError              outside the range in which a physical law holds
│   ├── LogError                     a log that cannot be understood
│   ├── SheetError                   a sheet, crib or price list with mistakes, all of them listed
│   ├── NotThereError (LookupError)  what was asked for is not in the store
│   └── ConflictError                it was entered before with other content, or meanwhile by somebody else
├── AccessError                      somebody may not do this, or not yet again
├── StoreError                       the store cannot be used now: locked, full, damaged, newer, not allowed
└── MissingExtraError (ImportError)  an optional reader is not installed
```

>>> issubclass(LogError, ValueError) and issubclass(LogError, ColdsoakError)
True
"""


class ColdsoakError(Exception):
    """Root of the tree; its text is one sentence that a technician can act on."""


class InputError(ColdsoakError, ValueError):
    """What was typed or handed in cannot be used as it is."""


class UnitError(InputError):
    """A number came without its unit, or with a unit of the wrong kind."""


class OutOfRangeError(InputError):
    """A value lies outside the range in which a physical law holds."""


class LogError(InputError):
    """A log could not be understood."""


class SheetError(InputError):
    """A sheet, crib or price list has mistakes; each has a line of its own in `problems`.

    >>> SheetError(("a.yaml:1:1: one.", "a.yaml:2:1: two.")).problems[1]
    'a.yaml:2:1: two.'
    """

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


class NotThereError(InputError, LookupError):
    """What was asked for is not in the store."""


class ConflictError(InputError):
    """It was entered before with other content, or changed meanwhile by somebody else."""


class AccessError(ColdsoakError):
    """Somebody may not do this; `wait_s` says after how many seconds it may be tried again, 0 when waiting is no help.

    >>> AccessError("too many wrong passphrases: wait a minute.", wait_s=60.0).wait_s
    60.0
    """

    def __init__(self, sentence: str, wait_s: float = 0.0) -> None:
        super().__init__(sentence)
        self.wait_s = wait_s


class StoreError(ColdsoakError):
    """The store cannot be used now: locked, full, damaged, from a newer program, or without permission."""


class MissingExtraError(ColdsoakError, ImportError):
    """An optional part of the installation is needed."""
