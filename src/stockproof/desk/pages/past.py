"""x"""

from stockproof.desk.bench import Office


def register(office: Office) -> None:
    pass
