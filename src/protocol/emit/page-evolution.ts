/** The part of the reference page that says how frames may change. What it says, changes.ts checks. */
export const EVOLUTION = `## How it may change

What is released keeps its meaning for ever: \`tests/protocol/released.json\` writes it down, and a test holds the
declarations to it. What may be added, so that older and newer sides go on working together without a new version:

| added | an older receiver | a newer receiver of an older sender |
| --- | --- | --- |
| a frame with a new id | drops and counts it | never gets it |
| a field behind the last one (\`appended\`) | reads the part it knows | reads 0 |
| a field in reserved bytes | does not read it | reads 0 |
| a bit | does not read it | reads 0 |
| a code | takes it as none of those it knows | never gets it |
| an optional key of Hello | refuses the Hello and names the key | finds it left out |
| a wider limit of a key | refuses what is outside its own limit | gets what is within |

So 0 in a new field or bit must mean: as it was before there was one. Nothing can be appended to a frame that ends in a
list or a text. A key that the drill does not know is refused, because most of them are known keys written wrong; a board
that uses a new one needs a drill of its age.

Never: move, rename, retype or rescale a field, give it another unit, change the number of a bit or code, narrow a limit,
use an id for something else. A changed meaning takes a new id or a new name. When that will not do, PROTOCOL_VERSION is
raised; sides of different versions refuse each other in words (Refuse, with REFUSE_VERSION). Ids that a version drops
stay retired.

When something was added and goes out to users, run \`npm run protocol -- --release\`, then \`npm run format\`, and commit:
from then on it is released. It refuses to write over what changed its meaning, unless PROTOCOL_VERSION was raised.`;
