"""Breathmark: a written home routine in, a hands-free voice-guided recording out."""

import os

__version__ = "0.1.0"

# Everything stays on this computer.  The runtime that the neural voice needs reports on its
# use to its maker over the network, from version 1.29 on, unless this is set before it loads.
os.environ["ORT_DISABLE_TELEMETRY"] = "1"
