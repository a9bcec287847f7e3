/**
 * Schemas checked in the page must not build functions out of text: the page's own policy refuses that, as it should.
 * To be imported before any schema.
 */
import { z } from 'zod';

z.config({ jitless: true });
