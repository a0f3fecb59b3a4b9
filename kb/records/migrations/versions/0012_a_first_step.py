"""What repairs the fault that a check finds, and whether a vehicle can stay overnight.

The checks of the starting set get the repair that they would start with; of the night nobody was asked.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"

_check = sa.table("diagnostic_check", sa.column("key", sa.String), sa.column("repair", sa.String))
_REPAIRS = {
    "wiggle_test": "Repair the harness or connector that changes it",
    "voltage_drop": "Repair the feed or ground",
    "smoke_test": "Repair the leak",
    "fuel_pressure": "Find and repair why fuel pressure is low",
    "misfire_stays": "Repair what the misfire stays with or follows",
    "relative_compression": "Find and repair why compression is uneven",
    "engine_oil": "Put level and grade of the oil right",
    "purge_valve": "Replace the purge valve",
    "cold_soak_sensors": "Replace the sensor that reads off",
    "transmission_fluid": "Put the fluid right",
    "key_off_draw": "Repair what draws at that other fuse",
    "corrosion": "Stop the water and repair what is corroded",
    "add_on": "Take the add-on out, or have it fitted right",
    "bus_resistance": "Repair the bus",
    "low_voltage_codes": "Repair battery, charging or grounds",
    "block_spread": "Leave the drive battery to trained people",
    "cooling_flow": "Clean or repair the fan, filter or coolant flow",
}


def upgrade() -> None:
    op.add_column("diagnostic_check", sa.Column("repair", sa.String(), nullable=False, server_default=""))
    op.add_column("concern", sa.Column("overnight", sa.String(), nullable=False, server_default="not_asked"))
    for key, repair in _REPAIRS.items():
        op.execute(_check.update().where(_check.c.key == key).values(repair=repair))


def downgrade() -> None:
    op.drop_column("concern", "overnight")
    op.drop_column("diagnostic_check", "repair")
