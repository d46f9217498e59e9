"""Written PDF: one page after the other, in millimetres, with lines, areas, discs and the font Helvetica."""
