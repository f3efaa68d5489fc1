"""One module per thing that comes out, behind one writer protocol."""
