"""Tones, the breathing sound, the mix, loudness."""
