from . import presented as presented
from .answer import ReplayAnswer as ReplayAnswer
