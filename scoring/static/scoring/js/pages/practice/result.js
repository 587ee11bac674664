// What came of a session that was ended, on a device that still holds taps of it: nothing vanishes unsaid.

import { DeviceLog } from '../../device/log.js';
import { fill, slot } from '../score/dom.js';
import { interpolate, ngettext } from '../score/texts.js';

const log = await DeviceLog.open(`practice-${slot('waits').dataset.session}`);
const count = log.waiting.length;
if (count > 0) {
    slot('waits').hidden = false;
    fill('waits', interpolate(ngettext(
        'One tap of this device is not among these: it was not sent before the session ended. Go on with it, and it is.',
        '%(count)s taps of this device are not among these: they were not sent before the session ended. Go on with it, and they are.',
        count,
    ), { count }));
}
await log.close();
