"""The command ``plumbhook``: parse, call a use case, present. No formula lives here.

Heavy modules are imported inside the commands, so that help and mistakes answer at once.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from plumbhook.cli.exit_codes import ExitCode, guarded

app = typer.Typer(
    name="plumbhook",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help=(
        "Plan and check lifts with modular spreader beams: what the rig does, what every part may carry, and a "
        "lift plan that shows its working. The answer supports a competent person; it is never a permission to lift."
    ),
    epilog="Example:  plumbhook demo --out out      then open out/lift-plan.pdf",
)

LiftFile = Annotated[
    Path, typer.Argument(metavar="LIFT", help="Lift file, YAML or JSON.", show_default=False)
]
AsJson = Annotated[
    bool, typer.Option("--json", help="Machine form on standard output; all else on standard error.")
]


def _version(show: bool) -> None:
    if show:
        from importlib.metadata import version

        typer.echo(f"plumbhook {version('plumbhook')}")
        raise typer.Exit


@app.callback()
def main(
    _show_version: Annotated[
        bool, typer.Option("--version", help="Print the version and stop.", callback=_version, is_eager=True)
    ] = False,
) -> None:
    """Plan and check lifts with modular spreader beams."""


@app.command(epilog="Example:  plumbhook plan examples/hallowmere-viaduct/lift.yaml --out out")
def plan(
    lift: LiftFile,
    out: Annotated[Path, typer.Option("--out", help="Folder for the files; made if it is not there.")] = Path(
        "out"
    ),
) -> None:
    """Assess a lift and write its plan: PDF, drawing (SVG) and assessment (JSON)."""
    from plumbhook.cli.plan import write_plan
    from plumbhook.model.files import read_lift
    from plumbhook.planning import assess as assess_lift

    assessment = assess_lift(read_lift(lift))
    raise typer.Exit(write_plan(assessment, out))


@app.command(epilog="Example:  plumbhook assess examples/hallowmere-viaduct/lift.yaml --json")
def assess(lift: LiftFile, as_json: AsJson = False) -> None:
    """Assess a lift and print the verdict of every check along the load path."""
    from plumbhook.cli.exit_codes import code_of
    from plumbhook.cli.tables import print_assessment
    from plumbhook.model.files import read_lift
    from plumbhook.planning import assess as assess_lift
    from plumbhook.planning.serialise import to_json

    assessment = assess_lift(read_lift(lift))
    if as_json:
        typer.echo(to_json(assessment, indent=2))
    print_assessment(assessment, to_stderr=as_json)
    raise typer.Exit(code_of(assessment.status))


@app.command(
    "trial-lift", epilog="Example:  plumbhook trial-lift examples/marrow-lane/lift.yaml readings.yaml --json"
)
def trial_lift(
    lift: LiftFile,
    readings: Annotated[
        Path | None,
        typer.Argument(
            metavar="[READINGS]",
            help="Readings, YAML or JSON; without them the card is printed.",
            show_default=False,
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Say what a trial lift should read, or what its readings say of the load and what to do."""
    from plumbhook.cli.trial_lift import run_trial_lift
    from plumbhook.model.files import read_lift

    raise typer.Exit(run_trial_lift(read_lift(lift), readings, as_json=as_json))


@app.command(epilog="Example:  plumbhook level examples/marrow-lane/lift.yaml --height '4.90 m'")
def level(
    lift: LiftFile,
    height: Annotated[
        str,
        typer.Option("--height", help="Hook above the lower ends of the top lines; as drawn if left out."),
    ] = "",
    lowest: Annotated[str, typer.Option("--lowest", help="Least such height of what can be had.")] = "",
    highest: Annotated[str, typer.Option("--highest", help="Largest such height of what can be had.")] = "",
    as_json: AsJson = False,
) -> None:
    """Find the line lengths that hang the load level, and the nearest set that can be had."""
    from plumbhook.cli.level import run_level
    from plumbhook.model.files import read_lift

    code = run_level(read_lift(lift), height=height, lowest=lowest, highest=highest, as_json=as_json)
    raise typer.Exit(code)


@app.command(epilog="Example:  plumbhook explain examples/hallowmere-viaduct/lift.yaml compression.U1")
def explain(
    lift: LiftFile,
    check: Annotated[
        str | None,
        typer.Argument(
            metavar="[CHECK]", help="Check to explain; leave it out to list them.", show_default=False
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Show the working of a check, the equilibrium it comes from, and the claims below it."""
    from plumbhook.cli.explain import run_explain

    raise typer.Exit(run_explain(lift, check, as_json=as_json))


@app.command(epilog="Example:  plumbhook equilibrium rig.json --json")
def equilibrium(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE", help="Rig graph, JSON: one rig or a list of rigs.", show_default=False
        ),
    ],
    as_json: AsJson = False,
) -> None:
    """Solve the equilibrium of one rig, or of a list, given as bodies, points and lines."""
    from plumbhook.cli.equilibrium import run_equilibrium

    raise typer.Exit(run_equilibrium(file, as_json=as_json))


@app.command(epilog="Example:  plumbhook tolerance examples/hallowmere-viaduct/lift.yaml --samples 100000")
def tolerance(
    lift: LiftFile,
    samples: Annotated[int, typer.Option("--samples", help="Number of samples.")] = 100_000,
    seed: Annotated[int, typer.Option("--seed", help="The same seed draws the same samples.")] = 1,
    as_json: AsJson = False,
    fresh: Annotated[
        bool, typer.Option("--fresh", help="Compute anew, even where the same study is in the cache.")
    ] = False,
) -> None:
    """Study the tolerances of a lift: every check in every sample, and what matters most."""
    from plumbhook.cli.tolerance import run_tolerance

    raise typer.Exit(run_tolerance(lift, samples=samples, seed=seed, as_json=as_json, fresh=fresh))


@app.command(epilog="Example:  plumbhook chart chart.xlsx --radius '13 m' --load '53.7 t' --limit '85 %'")
def chart(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="Duty chart, CSV or XLSX.", show_default=False)
    ],
    radius: Annotated[str, typer.Option("--radius", help="Radius under load: which row counts?")] = "",
    load: Annotated[
        str, typer.Option("--load", help="Everything below the boom head: how far out may it go?")
    ] = "",
    limit: Annotated[str, typer.Option("--limit", help="Largest use of the chart.")] = "100 %",
    as_json: AsJson = False,
) -> None:
    """Show the duty charts of a file as they were read, with what each holds for and where it stands."""
    from plumbhook.cli.chart import run_chart

    raise typer.Exit(run_chart(file, radius=radius, load=load, limit=limit, as_json=as_json))


@app.command(epilog="Example:  plumbhook weigh weighing.yaml --json")
def weigh(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE",
            help="Lift file with a weighing, or the weighing section alone.",
            show_default=False,
        ),
    ],
    as_json: AsJson = False,
) -> None:
    """Find mass and centre of gravity of a load from the readings of a weighing, as a claim to paste."""
    from plumbhook.cli.weigh import run_weigh

    raise typer.Exit(run_weigh(file, as_json=as_json))


@app.command(epilog="Example:  plumbhook upend upending.yaml --json")
def upend(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="Upending of a load, YAML or JSON.", show_default=False)
    ],
    as_json: AsJson = False,
) -> None:
    """Turn a load from lying to upright between two hooks: forces at each attitude, peak of every component."""
    from plumbhook.cli.upend import run_upend

    raise typer.Exit(run_upend(file, as_json=as_json))


@app.command(epilog="Example:  plumbhook tandem tandem.yaml --json")
def tandem(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="Lift by two cranes, YAML or JSON.", show_default=False)
    ],
    as_json: AsJson = False,
) -> None:
    """Share a load between two cranes whose hooks are not level, and say how level they must be kept."""
    from plumbhook.cli.tandem import run_tandem

    raise typer.Exit(run_tandem(file, as_json=as_json))


@app.command(epilog='Example:  plumbhook takeoff skid.step --density "steel*=7850 kg/m3" --yaml')
def takeoff(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE", help="Model of the load: STEP, IFC, glTF, STL, OBJ or PLY.", show_default=False
        ),
    ],
    unit: Annotated[
        str | None,
        typer.Option("--unit", help="Unit of length of STL, OBJ and PLY, which have none: mm, m, in ..."),
    ] = None,
    density: Annotated[
        list[str] | None,
        typer.Option(
            "--density",
            metavar="NAME=DENSITY",
            help='Density by material or solid, as in "steel=7850 kg/m3"; "*" for all the rest.',
        ),
    ] = None,
    densities: Annotated[
        Path | None,
        typer.Option("--densities", metavar="CSV", help="Densities as CSV: name, density, source."),
    ] = None,
    duplicates: Annotated[
        str,
        typer.Option("--duplicates", help="Solids twice at one place: ask (no total), once, or all."),
    ] = "ask",
    lift_point: Annotated[
        list[str] | None,
        typer.Option(
            "--lift-point",
            metavar="NAME[=X,Y,Z]",
            help="Lift point: a named point of the model, or a place of your own.",
        ),
    ] = None,
    as_json: AsJson = False,
    as_yaml: Annotated[
        bool, typer.Option("--yaml", help="Parts and lift points for the lift file on standard output.")
    ] = False,
    largest_file: Annotated[int, typer.Option("--largest-file", min=1, help="Largest file, MB.")] = 200,
    longest: Annotated[int, typer.Option("--longest", min=1, help="Longest reading, seconds.")] = 120,
    most_memory: Annotated[
        int, typer.Option("--most-memory", min=256, help="Most memory of the reading, MB.")
    ] = 4096,
) -> None:
    """Weigh a model of the load: mass, centre of gravity and source, solid by solid."""
    from plumbhook.cli.takeoff import duplicates_of_text, limits_of, run_takeoff

    code = run_takeoff(
        file,
        unit=unit,
        densities=density or (),
        densities_file=densities,
        duplicates=duplicates_of_text(duplicates),
        lift_points=lift_point or (),
        limits=limits_of(largest_file, longest, most_memory),
        as_json=as_json,
        as_yaml=as_yaml,
    )
    raise typer.Exit(code)


@app.command(epilog="Example:  plumbhook verify")
def verify(as_json: AsJson = False) -> None:
    """Recompute every published case in the package and show it beside the published value."""
    from plumbhook.cli.verify import run_verify

    raise typer.Exit(run_verify(as_json=as_json))


@app.command(epilog="Example:  plumbhook demo --out out")
def demo(
    out: Annotated[Path, typer.Option("--out", help="Folder for the files; made if it is not there.")] = Path(
        "out"
    ),
) -> None:
    """Plan the invented demo lift, a bridge segment on a strut over two struts, into a folder."""
    from plumbhook.cli.demo import run_demo

    raise typer.Exit(run_demo(out))


def run() -> None:
    """Entry point of the console script: every ending has its exit code, and no bad input a traceback."""
    sys.exit(guarded(app))


__all__ = ["ExitCode", "app", "run"]
