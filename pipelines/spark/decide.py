"""Decides on a fleet inside Spark: learns by group, decides by partition, writes Parquet.

    spark-submit pipelines/spark/decide.py PIPELINE.toml CHECKS.parquet OUT --driftbook /opt/driftbook

README.md beside this file says what the workers need and how to size them.
"""

import argparse
import os
import subprocess
import tempfile

import pyarrow as pa
import pyarrow.ipc as ipc
from pyspark.sql import SparkSession
from pyspark.sql.functions import col, crc32, monotonically_increasing_id
from pyspark.sql.pandas.types import from_arrow_schema, to_arrow_schema

GROUP, INSTRUMENT, ORDER = "driftbook_group", "driftbook_instrument", "driftbook_order"
TABLES = ("decisions", "proposals", "fits", "rejects", "warnings")


def stream_of(table):
    sink = pa.BufferOutputStream()
    with ipc.new_stream(sink, table.schema) as stream:
        stream.write_table(table)
    return sink.getvalue().to_pybytes()


class Driftbook:
    """The program on a worker: whole tables of checks in, whole tables out."""

    def __init__(self, program, pipeline, as_of):
        self.program = program
        self.shared = [pipeline] + (["--as-of", as_of] if as_of else [])

    def work(self, name, checks, *more):
        command = [self.program, "worker", name, *self.shared, *more]
        done = subprocess.run(command, input=stream_of(checks), capture_output=True)
        if done.returncode != 0:
            raise RuntimeError(f"driftbook worker {name}: {done.stderr.decode()}")
        return ipc.open_stream(done.stdout).read_all()

    def place(self, checks):
        return self.work("place", checks)

    def learn(self, placed):
        own = placed.sort_by(ORDER).drop_columns([GROUP, INSTRUMENT, ORDER])
        return self.work("learn", own).select(["learned"]).cast(pa.schema([("learned", pa.binary())]))

    def decide(self, placed, learned):
        own = placed.sort_by(ORDER).drop_columns([GROUP, INSTRUMENT, ORDER])
        with tempfile.NamedTemporaryFile(suffix=".arrows") as file:
            file.write(learned)
            file.flush()
            return self.work("decide", own, "--learned", file.name)


def by_partition(make):
    """`make` over each partition as a whole."""

    def on(batches):
        batches = list(batches)
        if batches:
            yield from make(pa.Table.from_batches(batches)).to_batches()

    return on


def columns_of(make, frame):
    """The columns that `make` gives for those of `frame`, by a table without rows."""
    return from_arrow_schema(make(to_arrow_schema(frame.schema).empty_table()).schema)


def main():
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("pipeline", help="pipeline file, at the same path on every worker")
    asked.add_argument("checks", help="Parquet files of checks")
    asked.add_argument("out", help="folder for the tables, one folder of Parquet each")
    asked.add_argument("--driftbook", default="driftbook", help="the program, on every worker")
    asked.add_argument("--as-of", help="date, where the pipeline file states none")
    asked.add_argument("--partitions", type=int, default=200, help="parts to decide in")
    asked.add_argument("--learn-share", type=float, default=1.0, help="share of the instruments to learn from")
    asked = asked.parse_args()
    spark = SparkSession.builder.appName("driftbook").getOrCreate()
    driftbook = Driftbook(asked.driftbook, os.path.abspath(asked.pipeline), asked.as_of)

    checks = spark.read.parquet(asked.checks)
    placed = checks.mapInArrow(by_partition(driftbook.place), columns_of(driftbook.place, checks))
    # Checks of one history and date count in their order, which a shuffle loses.
    placed = placed.withColumn(ORDER, monotonically_increasing_id()).persist()

    def learn(group):
        return driftbook.learn(group)

    sample = placed.where(crc32(INSTRUMENT) < asked.learn_share * 2**32)
    learned = sample.groupBy(GROUP).applyInArrow(learn, "learned binary").toArrow()
    learned = spark.sparkContext.broadcast(stream_of(learned))

    def decide(part):
        return driftbook.decide(part, learned.value)

    decided = placed.repartition(asked.partitions, INSTRUMENT)
    decided = decided.mapInArrow(by_partition(decide), columns_of(decide, placed)).persist()
    for table in TABLES:
        own = decided.where(col("table") == table).select(f"{table}.*")
        own.write.mode("errorifexists").parquet(os.path.join(asked.out, table))
    spark.stop()


if __name__ == "__main__":
    main()
