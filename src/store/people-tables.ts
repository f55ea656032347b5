/** Who may sign in, and where their sessions are at. The same on both databases. */
export const PEOPLE: readonly string[] = [
  `create table person (
  facility text not null,
  person_id text not null,
  user_id text not null unique,
  name text not null,
  role text not null,
  active integer not null,
  pin_hash text,
  pin_tries integer not null,
  password_tries integer not null,
  password_tried_at text,
  primary key (facility, person_id)
)`,
  `create table sitting (
  facility text not null,
  session_id text not null,
  locked_at text,
  begun_at text not null,
  used_at text not null,
  primary key (facility, session_id)
)`,
]

type Types = { readonly flag: string; readonly instant: string; readonly instantNow: string }

/** The tables that the sign-in library asks for; a test holds them against what it says it needs. */
const libraryTables = ({ flag, instant, instantNow }: Types): readonly string[] => [
  `create table "user" (
  "id" text not null primary key,
  "name" text not null,
  "email" text not null unique,
  "emailVerified" ${flag} not null,
  "image" text,
  "createdAt" ${instantNow},
  "updatedAt" ${instantNow},
  "username" text unique
)`,
  `create table "session" (
  "id" text not null primary key,
  "expiresAt" ${instant} not null,
  "token" text not null unique,
  "createdAt" ${instantNow},
  "updatedAt" ${instant} not null,
  "ipAddress" text,
  "userAgent" text,
  "userId" text not null references "user" ("id") on delete cascade
)`,
  `create table "account" (
  "id" text not null primary key,
  "accountId" text not null,
  "providerId" text not null,
  "userId" text not null references "user" ("id") on delete cascade,
  "accessToken" text,
  "refreshToken" text,
  "idToken" text,
  "accessTokenExpiresAt" ${instant},
  "refreshTokenExpiresAt" ${instant},
  "scope" text,
  "password" text,
  "createdAt" ${instantNow},
  "updatedAt" ${instant} not null
)`,
  `create table "verification" (
  "id" text not null primary key,
  "identifier" text not null,
  "value" text not null,
  "expiresAt" ${instant} not null,
  "createdAt" ${instantNow},
  "updatedAt" ${instantNow}
)`,
  'create index "session_userId_idx" on "session" ("userId")',
  'create index "account_userId_idx" on "account" ("userId")',
  'create index "verification_identifier_idx" on "verification" ("identifier")',
]

export const SIGN_IN = {
  sqlite: libraryTables({ flag: 'integer', instant: 'date', instantNow: 'date not null' }),
  postgres: libraryTables({
    flag: 'boolean',
    instant: 'timestamptz',
    instantNow: 'timestamptz default current_timestamp not null',
  }),
}
