"""The checks a colleague would make before a routine goes to a patient."""

from breathmark.dose.checks.manual import manual
from breathmark.dose.checks.running import (
    AcceptedProblem,
    CheckResult,
    as_fitted,
    check_routine,
)

__all__ = ["AcceptedProblem", "CheckResult", "as_fitted", "check_routine", "manual"]
