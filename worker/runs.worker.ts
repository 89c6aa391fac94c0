/** Entry of a worker that plays files: plumbing only. */
import { expose } from 'comlink';
import { RunsService } from './runs-service.ts';

expose(new RunsService().facade());
