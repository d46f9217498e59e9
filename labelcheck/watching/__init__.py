"""Which set changed, is it quiet and whole; a check of it, and what that changed.

`hearing` only hears, `looking` looks at the disk, `deciding` decides without disk, clock or thread, `worker` checks
in a process of its own, `loop` ties them together.
"""
