"""The manual of all checks, made from their docstrings."""

from __future__ import annotations

from breathmark.dose.checks.registry import Page, pages

_HEAD = """\
# The checks a colleague would make

`breathmark check` and `breathmark plan` look a routine through as a colleague would.
What they find is one of three things: an **error** stops the build, a **caution** asks
you to look again, a **note** is something to know. None of them knows the patient: you
do.

When a check is right in general and wrong for this patient, accept it in the routine
file, with the reason. The finding is silenced and goes into the record together with
your reason:

```yaml
accept:
  - check: hold-length
    because: very stiff after the cast; 90 s agreed with the surgeon
    exercise: Standing calf stretch   # leave it out to accept it for the whole routine
```

A misspelt id in `accept` is told (`accept-unknown`), and so is an entry that silences
nothing any more (`accept-unused`). Checks marked "may not be accepted" guard safety
where nothing is left to weigh; accepting one is an error (`accept-refused`).

That a set-up can be said in the rest before it is checked when the session is planned,
with the voice measured (`set-up-too-long`). Checks of single words read English and are
left out for routines in other languages.

A length may ask for other doses than the file's usual ones, or leave an optional exercise
out. `plan` and `make` therefore look the session through once more as it was fitted; what
only that brings begins with `fitted to`, such as a stretch that gets a set less than it
needs, or a pause before standing up that was left out.
"""


def manual() -> str:
    """The manual page of all checks, as Markdown with a final newline."""
    rows = [
        f"| [{p.check.id}](#{p.check.id}) | {p.check.severity} | {p.check.says} |" for p in pages()
    ]
    table = "\n".join(["| check | weight | what it says |", "| --- | --- | --- |", *rows])
    return "\n".join([_HEAD, table, "", *(_section(page) for page in pages())])


def _section(page: Page) -> str:
    check = page.check
    weight = str(check.severity) if check.acceptable else f"{check.severity}, may not be accepted"
    return f"## {check.id}\n\n*{weight}*\n\n{page.text}\n"
