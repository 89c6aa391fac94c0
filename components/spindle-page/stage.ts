import type { PartId } from '../drill-view/parts.ts';

/** What a panel asks of the stage around it: a lesson runs time, sets its pace and hides the truth, and takes room for itself. */
export interface StageAsk {
  readonly running?: boolean;
  readonly pace?: number;
  /** Where the rotor really is stays hidden. */ readonly veiled?: boolean;
  /** The part of the drill that is spoken of, '' for none. */ readonly part?: PartId | '';
  /** Time rail and Ahead make room for the drill and the lesson. */ readonly teaching?: boolean;
}

/** Lets the page look as a panel asks; what remains is for the page to take over. */
export function stageOf(
  e: Event,
  page: HTMLElement,
  drill: (HTMLElement & { veiled: boolean; named: PartId | undefined }) | null,
): Pick<StageAsk, 'running' | 'pace'> {
  const { veiled, teaching, part, ...rest } = (e as CustomEvent<StageAsk>).detail;
  if (veiled !== undefined && drill) drill.veiled = veiled;
  if (part !== undefined && drill) drill.named = part || undefined;
  if (teaching !== undefined) for (const each of [page, drill]) each?.toggleAttribute('teaching', teaching);
  return rest;
}
