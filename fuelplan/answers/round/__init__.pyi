from .came import CHOICES as CHOICES
from .came import ToConfirm as ToConfirm
from .check import check_round_folder as check_round_folder
from .check import counted as counted
from .check import fault_lines as fault_lines
from .check import is_round as is_round
