"""A judgement on the terminal: verdict, a small plot, the episodes, what to do next."""

from rich.console import Console
from rich.text import Text

from coldsoak.cautions import closing
from coldsoak.cli._lines import clock, indented
from coldsoak.cli.plot import small_plot
from coldsoak.judge.explain.inference import percent
from coldsoak.judge.judgement import ChannelJudgement, Judgement
from coldsoak.logs.log import Log

WORDS = {
    "believable": ("can be true", "green"),
    "not_believable": ("CANNOT BE TRUE", "bold red"),
    "undecided": ("cannot be told from this log", "yellow"),
}
SHOWN_EPISODES = 5
SHOWN_CAUSES = 3


def show(log: Log, judgement: Judgement) -> None:
    """Print one judgement, the channels that matter first."""
    console = Console(highlight=False, soft_wrap=False)
    stamp = judgement.log
    console.print(
        Text(
            f"{stamp.file}: {stamp.rows} row{'s' * (stamp.rows != 1)} over {clock(stamp.duration_s)}",
            style="bold",
        )
    )
    for line in stamp.assumed:
        indented(console, line, style="dim")
    for judged in sorted(judgement.channels, key=lambda one: one.place):
        _show_channel(console, log, judged)
    if any(judged.next_test for judged in judgement.channels):
        indented(console, closing(), style="italic")
    console.print()


def _show_channel(console: Console, log: Log, judged: ChannelJudgement) -> None:
    word, style = WORDS[judged.verdict]
    console.print(Text.assemble("  ", (f"{judged.title}: ", "bold"), (word, style)))
    indented(console, judged.sentence, 4)
    for line in judged.assumed:
        indented(console, line, 4, style="dim")
    if judged.verdict == "not_believable":
        time_s, value_c = log.readings(log.channel(judged.name))
        for line in small_plot(time_s, value_c, [(e.start_s, e.end_s) for e in judged.episodes]):
            console.print(Text(f"    {line}"), overflow="crop", no_wrap=True)
        for episode in judged.episodes[:SHOWN_EPISODES]:
            indented(console, f"{clock(episode.start_s)} to {clock(episode.end_s)}  {episode.sentence}", 4)
        left = len(judged.episodes) - SHOWN_EPISODES
        if left > 0:
            indented(console, f"and {left} more (all of them with --json or --report)", 4)
    for condition in judged.fails_when[:2]:
        indented(console, f"It {condition.sentence}.", 4)
    for cause in judged.causes[:SHOWN_CAUSES]:
        indented(console, f"{percent(cause.probability):>5}  {cause.label}: {cause.reason}", 4)
    for sentence in judged.measured:
        indented(console, sentence, 4)
    if judged.next_test:
        indented(console, Text.assemble(("Next: ", "bold"), judged.next_test), 4)
    for outcome in judged.tests[0].outcomes if judged.tests else ():
        indented(console, f"if {outcome}", 8)
