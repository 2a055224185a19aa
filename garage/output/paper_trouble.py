"""What goes wrong with a paper, apart from the library that sets it."""


class PaperTrouble(Exception):
    """A paper asks for something that is not one of our static files."""
