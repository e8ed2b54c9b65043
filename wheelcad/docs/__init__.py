"""The documentation: Markdown here, tables and pictures from the models, built into pages that work offline."""
