"""The floor: what a typer app costs that imports psutil and rich.table and does nothing else."""

import psutil  # noqa: F401
import rich.table  # noqa: F401
import typer

app = typer.Typer()


@app.command()
def main() -> None:
    """Do nothing."""


if __name__ == "__main__":
    app()
