import type { MessageReader } from './reader.ts'

/** What a message is, by its header. */
export type Heading = {
  readonly type: string
  readonly event: string
  readonly controlId: string
  readonly sender: string
  readonly senderFacility: string
}

const VERSIONS = ['2.3', '2.3.1', '2.4', '2.5', '2.5.1', '2.6', '2.7']
const PATIENT = '( PID( PD1| NTE| PV1| PV2| IN1| IN2| IN3| GT1| AL1)*)?'
const TIMED = '( NTE| TQ1| TQ2| RXR| RXC| OBX| FT1| CTI)*'
const START = '^MSH( SFT| NTE)*'

/**
 * The order of segments that each message may have, as HL7 v2.5.1 gives it for the segments used here. Of an order,
 * what follows ORC may be left out: a hold or a stop needs no more than the number. Whether it may is asked by the act.
 */
const STRUCTURES: Readonly<Record<string, RegExp>> = {
  ADT: /^MSH( SFT)* EVN PID( PD1| ROL| NK1)* PV1( PV2| ROL| DB1| OBX| AL1| DG1| DRG| PR1| GT1| IN1| IN2| IN3| ACC| UB1| UB2)*$/,
  RDE: new RegExp(`${START}${PATIENT}( ORC( NTE| TQ1| TQ2)*(( RXO( NTE| RXR| RXC)*)? RXE${TIMED})?)+$`),
  OMP: new RegExp(`${START}${PATIENT}( ORC( NTE| TQ1| TQ2)*( RXO${TIMED})?)+$`),
  RAS: new RegExp(
    `${START}${PATIENT}( ORC( TQ1| TQ2)*( RXO( NTE| RXR| RXC)*)?( RXE( NTE| TQ1| TQ2| RXR| RXC)*)?( RXA)+( RXR)?( OBX| NTE| CTI)*)+$`,
  ),
  ORU: new RegExp(`${START}${PATIENT}(( ORC)? OBR( NTE| TQ1| TQ2| CTD)*( OBX( NTE)*)*( FT1| CTI| SPM)*)+$`),
}

const EVENTS: Readonly<Record<string, readonly string[]>> = {
  ADT: ['A01', 'A02', 'A03', 'A08'],
  RDE: ['O11'],
  OMP: ['O09'],
  RAS: ['O17'],
  ORU: ['R01'],
}

/** Reads the header and checks version, type, event and the order of segments; problems are noted in the reader. */
export function readHeading(reader: MessageReader): Heading | null {
  const header = reader.first('MSH')
  if (!header) return null
  const type = header.required(9, 'the message type') ?? ''
  const event = header.at.text(9, 2) ?? ''
  const controlId = header.required(10, 'the control id') ?? ''
  const processing = header.required(11, 'the processing id')
  const version = header.required(12, 'the version')
  header.time(7, 'the time of the message')
  if (version !== null && !VERSIONS.includes(version))
    header.wrong('203', 12, `version ${version} is not read here`)
  if (processing !== null && !['P', 'T', 'D'].includes(processing)) {
    header.wrong('202', 11, `processing id ${processing} is none of P, T, D`)
  }
  if (type !== '' && type !== 'ACK') checkKind(reader, type, event)
  return { type, event, controlId, sender: header.at.text(3) ?? '', senderFacility: header.at.text(4) ?? '' }
}

function checkKind(reader: MessageReader, type: string, event: string): void {
  const header = reader.first('MSH')
  const events = EVENTS[type]
  if (!events) {
    header?.wrong('200', 9, `messages of type ${type} are not read here`)
    return
  }
  if (!events.includes(event)) {
    header?.wrong('201', 9, `${type}^${event} is not read here; it was not accepted`)
    return
  }
  const names = reader.message.segments.map(({ name }) => name).filter((name) => !name.startsWith('Z'))
  if (STRUCTURES[type]?.test(names.join(' '))) return
  const what = `segments come as ${names.join(', ')}, which is not the order of ${type}^${event}`
  reader.problem('100', firstMisplaced(names), 1, null, what)
}

/** The segment to point at: a patient after an order, or else the first after the header. */
function firstMisplaced(names: readonly string[]): string {
  const order = names.indexOf('ORC')
  return names.find((name, index) => name === 'PID' && order >= 0 && index > order) ?? names[1] ?? 'MSH'
}
