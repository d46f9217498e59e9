"""Where component bodies come from: component layers, the limits file, placement, assembly drawings, pads."""
