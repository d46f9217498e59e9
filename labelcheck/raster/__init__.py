"""Shapes become row runs at fab resolution, and runs become bitmap windows on demand."""
