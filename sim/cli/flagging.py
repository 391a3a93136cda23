"""How every command says that a part did what it must not: a line of its results, on standard output."""


def say_flag(text: str, indent: str = "") -> None:
    """Say one flag: whose it is, and its sentence.

    It is what was found, as a table is, so it goes where results go: standard error has what is beside them (`sim.cli.notices`).
    """
    print(f"{indent}FLAGGED  {text}")
