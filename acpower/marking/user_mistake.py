"""A mistake that the person at the keyboard can put right."""


class UserMistake(Exception):
    """The message says what is wrong and what to do; nobody sees a traceback."""
