"""Makes the handbook: checks the content, renders the pages, bundles the runtime."""

__version__ = "0.1.0"
