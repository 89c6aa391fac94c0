/** What opens over the stage, one at a time. A row here makes a button in the head; its code is loaded when it is first opened. */
import type { Driver, Place } from '../session/driver.ts';
import type { Session } from '../session/session.ts';
import type { PANEL_LABELS } from './words.ts';

export { stageOf } from './stage.ts';

/** What the shell gives to every panel, and what it asks of it. It fires `close` when the person is done with it. */
export interface PanelElement extends HTMLElement {
  session?: Session;
  driver?: Driver;
  /** The board that the bridge offers, which brought the page here. */ bridge?: Place | undefined;
  /** What the panel shall show first: a part of the drill, signals, a file. */ subject?: unknown;
  /** Takes the focus: what comes next for whoever opened it. */ enter(): void | Promise<void>;
}

export interface Panel {
  readonly id: keyof typeof PANEL_LABELS;
  /** Over Record alone, over Record and Now, or instead of the whole stage. */
  readonly place: 'record' | 'sheet' | 'view';
  /** A button in the head opens it; else something on the page does. */ readonly inHead: boolean;
  /** It drives by itself and cannot go on after Stop: Stop takes it away. */ readonly drives?: true;
  readonly tag: string;
  readonly load: () => Promise<unknown>;
}

export const PANELS: readonly Panel[] = [
  {
    id: 'waves',
    place: 'view',
    inHead: true,
    tag: 'wave-bench',
    load: () => import('../wave-bench/wave-bench.ts'),
  },
  {
    id: 'runs',
    place: 'view',
    inHead: true,
    tag: 'runs-view',
    load: () => import('../runs-view/runs-view.ts'),
  },
  {
    id: 'lesson',
    place: 'record',
    inHead: true,
    drives: true,
    tag: 'lesson-view',
    load: () => import('../lesson-view/lesson-view.ts'),
  },
  {
    id: 'drills',
    place: 'sheet',
    inHead: true,
    tag: 'drill-sheet',
    load: () => import('../drill-sheet/drill-sheet.ts'),
  },
  {
    id: 'faults',
    place: 'record',
    inHead: true,
    tag: 'fault-sheet',
    load: () => import('../fault-sheet/fault-sheet.ts'),
  },
  {
    id: 'keep',
    place: 'sheet',
    inHead: true,
    tag: 'keep-sheet',
    load: () => import('../keep-sheet/keep-sheet.ts'),
  },
  {
    id: 'compare',
    place: 'sheet',
    inHead: false,
    tag: 'compare-sheet',
    load: () => import('../compare-sheet/compare-sheet.ts'),
  },
  {
    id: 'who',
    place: 'record',
    inHead: false,
    tag: 'controller-sheet',
    load: () => import('../controller-sheet/controller-sheet.ts'),
  },
];

/** Makes the element of a panel, not yet on the page. */
export async function makePanel(panel: Panel, session: Session, driver: Driver, bridge: Place | undefined) {
  await panel.load();
  const element = document.createElement(panel.tag) as PanelElement;
  element.classList.add('panel', panel.place);
  return Object.assign(element, { session, driver, bridge });
}
