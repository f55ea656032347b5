import { readdirSync, readFileSync } from 'node:fs'
import { Message as OtherMessage } from 'node-hl7-client/hl7'
import { expect, it } from 'vitest'
