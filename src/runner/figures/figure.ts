/** A figure of a run: one number with its unit, or the reason why there is none. */
export interface Figure {
  /** Key in reports: a promise, never renamed. */ readonly id: string;
  readonly what: string;
  /** SI unit of the value, '' when dimensionless. */ readonly unit: string;
  /** Unit a person reads; a key of src/units/convert.ts. */ readonly show: string;
  /** Which of two values is the better one, null where neither is. */ readonly better: 'lower' | 'higher' | null;
  /** SI, null when the figure does not exist. */ readonly value: number | null;
  /** Why it does not exist, '' otherwise. */ readonly why: string;
}

/** What a figure is, whatever its value. */
export type FigureKind = Omit<Figure, 'value' | 'why'>;

/** A figure with its value; one that is not finite does not exist, for the reason given. */
export function figureOf(kind: FigureKind, value: number, otherwise: string): Figure {
  const exists = Number.isFinite(value);
  return { ...kind, value: exists ? value : null, why: exists ? '' : otherwise };
}
