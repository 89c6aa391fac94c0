/** Entry of the drill worker: plumbing only. */
import { expose } from 'comlink';
import { DrillService } from './service.ts';

const service = new DrillService();

// One frozen facade of plain functions: comlink lets the other side read and write whatever it is given.
expose(service.facade());
