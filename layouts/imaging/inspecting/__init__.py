"""What a layout file holds: its window, its type, its faults."""
