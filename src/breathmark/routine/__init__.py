"""What people write: the model, reading YAML into it, the library, the patient's changes."""
