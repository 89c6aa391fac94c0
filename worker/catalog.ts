/** What a page may ask of the presets: their names, and each drill in words and numbers. */
import { sheetOf } from '../src/plant/describe/sheet.ts';
import type { DrillApi } from './api.ts';
import { CONTROLLER_NAMES, DRILL_NAMES, drillNamed } from './named.ts';

export const CATALOG: Pick<DrillApi, 'catalog' | 'sheets'> = {
  catalog: () => ({ drills: DRILL_NAMES, controllers: CONTROLLER_NAMES }),
  sheets: () => DRILL_NAMES.map((name) => sheetOf(drillNamed(name))),
};
