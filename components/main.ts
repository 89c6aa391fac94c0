/** Entry of the page. */
import './spindle-page/spindle-page.ts';
