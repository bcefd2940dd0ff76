"""Makes people.parquet: invented checks in the column types that data frames write."""

from datetime import datetime, timezone
from decimal import Decimal

import pyarrow as pa
import pyarrow.parquet as pq

rows = 4
dates = [datetime(2020 + i, 3, 1, tzinfo=timezone.utc) for i in range(rows)]
table = pa.table({
    "instrument": pa.array(["R-1", "R-1", "R-2", "R-2"]).dictionary_encode(),
    "point": pa.array([10, 10, 20, 20], pa.int8()),
    "date": pa.array(dates, pa.timestamp("us", tz="UTC")),
    "as_found": pa.array([Decimal("100.012"), Decimal("100.015"), Decimal("99.990"), None], pa.decimal128(9, 3)),
    "nominal": pa.array([100, 100, 100, 100], pa.uint16()),
    "u": pa.array([0.1, 0.25, 0.5, 0.1], pa.float32()).cast(pa.float16()),
    "lower": pa.array([-5, -5, -5, -5], pa.int16()),
    "upper": pa.array([5, 5, 5, 5], pa.int8()),
    "usage": pa.array([1, 2, 3, 4], pa.uint8()).dictionary_encode(),
    "in_tolerance": pa.array([b"pass", b"pass", b"pass", b"fail"], pa.binary()),
    "event": pa.array([None, "adjusted", None, None]).dictionary_encode(),
    "unit": pa.array(["mm"] * rows, pa.large_string()),
})
pq.write_table(table, "people.parquet", row_group_size=3)
