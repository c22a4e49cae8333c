"""Pictures of a hill and a run, drawn as SVG."""
