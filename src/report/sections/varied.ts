/** What varied in a campaign, as axes of a matrix: faults against other values, else the first two values. */
import type { PointResult, Value } from '../../campaign/results.ts';
import type { CampaignTold } from '../campaign.ts';
import type { Cell } from '../matrix.ts';
import { letterOf } from '../verdict.ts';
import { shownNumber } from '../words.ts';

export interface Crossing {
  readonly corner: string;
  readonly caption: string;
  readonly cells: readonly Cell[];
}

/** Most columns of a matrix; more values fall into equal bins. */
const COLUMNS_MOST = 8;
/** Bins of a value with many. */
const BINS = 5;
const MATRICES_MOST = 3;
/** Values that only make runs differ. */
const NO_AXIS = /^seed$/;
/** The rows of a matrix of faults, not a column. */
const FAULT_NAME = /^faults\.\d+\.fault$/;
const NONE_BEGAN = 'none began';

/** A value that varies as an axis: a label for each point. */
interface Axis {
  readonly place: string;
  labelOf(point: PointResult): string;
}

export function crossings({ points }: CampaignTold): Crossing[] {
  const axes = axesOf(points).filter(({ place }) => !FAULT_NAME.test(place));
  const faults = [...new Set(points.flatMap(faultsOf))];
  if (faults.length > 1 || (axes.length === 1 && faults[0] !== NONE_BEGAN)) {
    return axes.slice(0, MATRICES_MOST).map(({ place, labelOf }) => ({
      corner: 'Fault',
      caption: `columns: ${place}`,
      cells: points.flatMap((point) => faultsOf(point).map((row) => cellOf(point, row, labelOf(point)))),
    }));
  }
  // One fault, or none: the values against each other say more.
  if (axes.length < 2) return [];
  const [across, ...down] = axes;
  const lead = faults[0] === undefined || faults[0] === NONE_BEGAN ? '' : `fault ${faults[0]}; `;
  return down.slice(0, MATRICES_MOST).map(({ place, labelOf }) => ({
    corner: place,
    caption: `${lead}rows: ${place}, columns: ${across.place}`,
    cells: points.map((point) => cellOf(point, labelOf(point), across.labelOf(point))),
  }));
}

const cellOf = ({ verdict }: PointResult, row: string, column: string): Cell => ({
  row,
  column,
  letter: letterOf(verdict),
});

/** A point that was refused met no fault: it must not be missing. */
function faultsOf({ faults }: PointResult): string[] {
  const met = [...new Set(faults.filter(({ what }) => what === 'begins').map(({ fault }) => fault))];
  return met.length > 0 ? met : [NONE_BEGAN];
}

function axesOf(points: readonly PointResult[]): Axis[] {
  const places = [...new Set(points.flatMap(({ values }) => Object.keys(values)))].filter(
    (place) => !NO_AXIS.test(place),
  );
  return places.flatMap((place): Axis[] => {
    const values = [...new Set(points.map((point) => point.values[place]))].filter(
      (each): each is Value => each !== undefined,
    );
    if (values.length < 2) return [];
    if (values.length <= COLUMNS_MOST) return [{ place, labelOf: (point) => String(point.values[place] ?? 'none') }];
    return binnedAxis(place, values);
  });
}

/** Equal bins over the range of a number with its unit; a value that is no number has none. */
function binnedAxis(place: string, values: readonly Value[]): Axis[] {
  const numbers = values.map((value) => Number.parseFloat(String(value)));
  if (numbers.some((each) => !Number.isFinite(each))) return [];
  const unit = String(values[0]).replace(/^[\s\d.eE+-]+/, '');
  const [low, high] = [Math.min(...numbers), Math.max(...numbers)];
  const width = (high - low) / BINS;
  const edge = (k: number) => shownNumber(Number((low + k * width).toPrecision(3)));
  const labels = Array.from({ length: BINS }, (_, k) => `${edge(k)} to ${edge(k + 1)}${unit === '' ? '' : ` ${unit}`}`);
  const binOf = (value: Value | undefined) =>
    Math.min(BINS - 1, Math.floor((Number.parseFloat(String(value)) - low) / width));
  return [{ place, labelOf: (point) => labels[binOf(point.values[place])] ?? 'none' }];
}
