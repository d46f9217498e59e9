"""One file format a module: bytes in, records out; nothing here knows of boards."""
