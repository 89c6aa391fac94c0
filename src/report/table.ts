/** Results as a Parquet table: one row a check and run, every column typed, names with their units. */
import { type ColumnSource, parquetWriteBuffer } from 'hyparquet-writer';
import type { CheckTold, RunTold } from './model.ts';

export interface TableFacts {
  /** When it was made, ISO 8601. */ readonly at: string;
  readonly versions: Readonly<Record<string, string>>;
}

type Row = readonly [run: RunTold, check: CheckTold | undefined];
type Column = readonly [name: string, type: 'STRING' | 'DOUBLE' | 'INT32', of: (row: Row) => string | number | null];

const text = (of: (row: Row) => string | undefined) => (row: Row) => of(row) || null;

const COLUMNS: readonly Column[] = [
  ['scenario', 'STRING', text(([run]) => run.file)],
  ['title', 'STRING', text(([run]) => run.title)],
  // A seed has 32 bits without a sign: more than INT32 holds.
  ['seed', 'DOUBLE', ([run]) => run.seed],
  ['run_verdict', 'STRING', ([run]) => run.verdict],
  ['run_why', 'STRING', text(([run]) => run.why)],
  ['check', 'STRING', text(([, check]) => check?.name)],
  ['verdict', 'STRING', text(([, check]) => check?.verdict)],
  ['value', 'DOUBLE', ([, check]) => check?.value ?? null],
  ['bound', 'STRING', text(([, check]) => check?.bound ?? undefined)],
  ['limit', 'DOUBLE', ([, check]) => check?.limit ?? null],
  ['margin', 'DOUBLE', ([, check]) => check?.margin ?? null],
  // Unit of value, limit and margin of this row.
  ['unit', 'STRING', ([, check]) => check?.unit ?? null],
  ['at_s', 'DOUBLE', ([, check]) => check?.at_s ?? null],
  ['signal', 'STRING', text(([, check]) => check?.signal)],
  ['take', 'STRING', text(([, check]) => check?.take)],
  ['why', 'STRING', text(([, check]) => check?.why)],
  ['requirements', 'STRING', text(([run, check]) => [...run.requirements, ...(check?.requirements ?? [])].join(', '))],
  ['drill', 'STRING', text(([run]) => run.drill)],
  ['controller', 'STRING', text(([run]) => run.controller)],
  ['board', 'STRING', text(([run]) => run.board)],
  ['firmware', 'STRING', text(([run]) => run.firmware)],
  ['coupling', 'STRING', text(([run]) => run.coupling)],
  ['rate_Hz', 'DOUBLE', ([run]) => run.rate_Hz],
  ['step_s', 'DOUBLE', ([run]) => run.step_s],
  ['virtual_s', 'DOUBLE', ([run]) => run.virtual_s],
  ['wall_s', 'DOUBLE', ([run]) => run.wall_s],
  ['lost_time_s', 'DOUBLE', ([run]) => run.lostTime_s],
  ['energy_residual', 'DOUBLE', ([run]) => run.energyResidual],
  ['state_hash', 'STRING', text(([run]) => run.stateHash)],
];

/** The file. A run without checks has one row without one, so that no run is missing. */
export function tableOf(runs: readonly RunTold[], { at, versions }: TableFacts): ArrayBuffer {
  const rows: Row[] = runs.flatMap((run): Row[] =>
    run.checks.length === 0 ? [[run, undefined]] : run.checks.map((check): Row => [run, check]),
  );
  const points = [...new Set(runs.flatMap((run) => run.point.map(({ name }) => name)))];
  const columns: Column[] = [
    ...COLUMNS,
    ...points.map(
      (name): Column => [
        `point ${name}`,
        'STRING',
        text(([run]) => run.point.find((each) => each.name === name)?.text),
      ],
    ),
  ];
  const columnData = columns.map(
    ([name, type, of]): ColumnSource => ({ name, type, data: rows.map(of), nullable: true }),
  );
  const facts = { made: at, 'unit of value, limit, margin': 'column unit', ...versions };
  return parquetWriteBuffer({
    columnData,
    createdBy: versions.program ?? 'phantom-spindle',
    kvMetadata: Object.entries(facts).map(([key, value]) => ({ key, value })),
  });
}
