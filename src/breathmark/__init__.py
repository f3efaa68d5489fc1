"""Breathmark: a written home routine in, a hands-free voice-guided recording out."""

__version__ = "0.1.0"
