/** What a check asks for, in SI. Which of the further keys count is up to its kind. */
import type { SignalId } from '../../signals.ts';

/** How a check names the number that it takes of a run. */
export type Take =
  | 'largest'
  | 'smallest'
  | 'peak'
  | 'mean'
  | 'last'
  | 'every'
  | 'time to reach'
  | 'settling time'
  | 'longest spell'
  | 'entries'
  | 'crossings'
  | 'changes'
  | 'integral'
  | 'end state'
  | 'reaction time'
  | 'order'
  | 'deviation';

/** Which part of a signal an integral sums up. */
export type Part = 'value' | 'magnitude' | 'square' | 'above zero' | 'below zero';

export interface CheckSpec {
  readonly name: string;
  readonly signal: SignalId;
  readonly take: Take;
  /** Window, from the start of the run or, with afterFault, from the beginning of that fault. */ readonly from_s: number;
  /** Infinity: to the end of the run. */ readonly to_s: number;
  /** Limits in SI, of the number that is taken. */ readonly atLeast?: number | undefined;
  readonly atMost?: number | undefined;
  /** Place of a fault in the list of the scenario. */ readonly afterFault?: number | undefined;
  /** End of the run [s]; given with afterFault. */ readonly runEnd_s?: number | undefined;
  /** The number less that of the fault-free twin. */ readonly against?: 'twin' | undefined;
  /** Condition on the signal: above this value, below this one, or both. */ readonly above?: number | undefined;
  readonly below?: number | undefined;
  /** Condition on the signal: exactly this code. */ readonly code?: number | undefined;
  /** The code as the file names it. */ readonly codeName?: string | undefined;
  /** Level that crossings are counted through, and by how much it has to be passed on both sides. */
  readonly through?: number | undefined;
  readonly play?: number | undefined;
  readonly part?: Part | undefined;
  /** Multiple of the electrical frequency. */ readonly order?: number | undefined;
  readonly requirements?: readonly string[] | undefined;
}

/** Which codes of a signal mean that a condition holds; bounds that are left out do not bind. */
export function holds(spec: CheckSpec, value: number): boolean {
  if (spec.code !== undefined) return value === spec.code;
  return !(spec.above !== undefined && value <= spec.above) && !(spec.below !== undefined && value >= spec.below);
}
