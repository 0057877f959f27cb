"""The one-line diagram: laid out, drawn as SVG, and told in words."""
