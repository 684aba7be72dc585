"""Pictures and layout files as pixels: read, inspected, composited, matched. Pure: no Django, no database."""
