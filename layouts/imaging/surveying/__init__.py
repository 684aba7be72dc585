"""What is seen of a layout at full resolution, in the one pass that decodes it."""
