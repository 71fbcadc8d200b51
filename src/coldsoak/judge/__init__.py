"""Judge: is this reading possible? If not, what lies?"""

from coldsoak.judge.judge import judge
from coldsoak.judge.judgement import Cause, ChannelJudgement, Episode, Judgement, LogStamp

__all__ = ["Cause", "ChannelJudgement", "Episode", "Judgement", "LogStamp", "judge"]
