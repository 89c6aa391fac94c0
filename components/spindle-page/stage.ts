/** What a panel asks of the stage around it: a lesson runs time, sets its pace and hides the truth, and takes room for itself. */
export interface StageAsk {
  readonly running?: boolean;
  readonly pace?: number;
  /** Where the rotor really is stays hidden. */ readonly veiled?: boolean;
  /** Time rail and Ahead make room for the drill and the lesson. */ readonly teaching?: boolean;
}

/** Lets the page look as a panel asks; what remains is for the page to take over. */
export function stageOf(
  e: Event,
  page: HTMLElement,
  drill: { veiled: boolean } | null,
): Pick<StageAsk, 'running' | 'pace'> {
  const { veiled, teaching, ...rest } = (e as CustomEvent<StageAsk>).detail;
  if (veiled !== undefined && drill) drill.veiled = veiled;
  if (teaching !== undefined) page.toggleAttribute('teaching', teaching);
  return rest;
}
