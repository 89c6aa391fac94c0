/** Entry of a worker of a campaign: plumbing only. */
import { expose } from 'comlink';
import { playPoint } from './play-point.ts';

expose(playPoint);
