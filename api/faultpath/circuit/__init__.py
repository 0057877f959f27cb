"""The electrical net of an installation and its solution. Knows impedances, sources and devices, and no rule."""
