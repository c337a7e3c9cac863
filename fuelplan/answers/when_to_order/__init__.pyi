from .answer import FuelStock as FuelStock
from .answer import LevelBand as LevelBand
from .answer import OrderAnswer as OrderAnswer
from .answer import ProposedOrder as ProposedOrder
from .answer import RunOut as RunOut
from .answer import WholeBill as WholeBill
from .questions import READ_FIRST as READ_FIRST
from .words import sentence as sentence
