"""What a farm asks for: its animals, work, people, site and the promises wanted."""

from stockproof.brief.model import BriefFile, Mob, Person, Programme
from stockproof.brief.promises import PROMISES, Promise, PromiseBase
from stockproof.brief.reader import Brief, check_brief, read_brief
from stockproof.brief.tasks import Task, task_table

__all__ = [
    "PROMISES",
    "Brief",
    "BriefFile",
    "Mob",
    "Person",
    "Programme",
    "Promise",
    "PromiseBase",
    "Task",
    "check_brief",
    "read_brief",
    "task_table",
]
