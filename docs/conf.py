"""How the documentation is built: off line, with a theme that comes with the builder."""

project = "evenlay"
author = "the evenlay authors"
project_copyright = "the evenlay authors, MIT licence"
extensions = ["myst_parser"]
source_suffix = {".md": "markdown"}
exclude_patterns = ["_build"]
html_theme = "alabaster"
html_theme_options = {"page_width": "1080px", "sidebar_width": "240px", "font_family": "sans-serif"}
html_static_path: list[str] = []
html_show_sphinx = False
html_copy_source = False
highlight_language = "none"
myst_heading_anchors = 3
nitpicky = True
