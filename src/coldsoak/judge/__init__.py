"""Judge: is this reading possible? If not, what lies?"""

from coldsoak.judge.judge import judge
from coldsoak.judge.judgement import ChannelJudgement, Episode, Judgement, LogStamp

__all__ = ["ChannelJudgement", "Episode", "Judgement", "LogStamp", "judge"]
