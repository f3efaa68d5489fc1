"""Text made speakable, voice profiles, engines (one module each), the clip store."""
