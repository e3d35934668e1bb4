"""ConfigError: what a person wrote in a file can't be used, said in one line."""


class ConfigError(ValueError):
    """One readable line: the file, the key in it, what is wrong, and the nearest valid choice when there is one.

    key is the path in the file, tables of an array counted from 1, such as airfield[2].runway[1].width_ft; empty when
    the whole file is meant.
    """

    def __init__(self, *, file: str, key: str, problem: str) -> None:
        self.file = file
        self.key = key
        self.problem = problem
        super().__init__(": ".join(part for part in (file, key, problem) if part))
