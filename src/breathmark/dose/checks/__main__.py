"""Write the manual of the checks: ``python -m breathmark.dose.checks > checks.md``."""

import sys

from breathmark.dose.checks import manual

sys.stdout.write(manual())
