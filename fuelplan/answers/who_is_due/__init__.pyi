from . import presented as presented
from .answer import OutlookAnswer as OutlookAnswer
from .answer import day_of as day_of
