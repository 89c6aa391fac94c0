/** Entry of the worker that keeps recordings: plumbing only. */
import { expose } from 'comlink';
import { RecordingService } from './recording-service.ts';

expose(new RecordingService().facade());
