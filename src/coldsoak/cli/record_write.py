"""`coldsoak record write`: turn a job file into a signed record."""

from pathlib import Path

import click

from coldsoak.cli._output import writing
from coldsoak.cli.mistakes import mistakes


@click.command()
@click.argument("job_file", metavar="JOBFILE.yaml", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="OUT.record",
    help="Where to write; beside the job file when not given.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the job as one line of JSON.")
def command(job_file: Path, out: Path | None, *, as_json: bool) -> int:
    """Run the job of JOBFILE.yaml through judge, plan, build, fill and prove, and write its record.

    What the file says is checked first, every mistake with its line. The same job file gives the same bytes; a record that
    is there already and says something else is kept.
    """
    from coldsoak.cli.record_run import run_job
    from coldsoak.record.check_words import short
    from coldsoak.record.file import write_record

    with mistakes() as said:
        job = run_job(job_file)
    if said.status:
        return said.status
    path = out if out is not None else job_file.with_suffix(".record")
    with writing(path):
        new = write_record(path, job.ledger)
    record = job.ledger.fold()
    if as_json:
        click.echo(record.to_json())
        return 0
    for stage, sentence in job.said:
        click.echo(f"{stage:<8} {sentence}")
    signed = record.signed
    state = f"signed by {signed.body.person}" if signed is not None else "open: nobody has signed it"
    click.echo(
        f"record   {record.count} events of {record.opened.body.job}, {state}; hash {short(record.head)}"
    )
    click.echo(f"The record lies at {path.resolve()}{'' if new else ', the same as before'}")
    click.echo(f"To print it: coldsoak record handover {path} --out {path.parent}")
    return 0
