#!/bin/bash
# Runs one small trial as a job array on a real Slurm (Debian: slurm-wlm,
# munge) with one node on the loopback, kills one task, notices that at the
# merge, submits the task again, merges, and compares with a run of the whole
# trial on one machine, byte by byte.
#
#   slurm.sh SETDOWN TRIAL WORK
#
# SETDOWN is the program, TRIAL a folder of recordings, WORK a folder for what
# is made. Must run as root: it starts munged, slurmctld and slurmd with a
# configuration of their own and ends them, and nothing else, at the end.
set -euo pipefail

setdown=$(realpath "$1")
trial=$(realpath "$2")
mkdir -p "$3"
work=$(realpath "$3")
tasks=4
host=$(hostname -s)
cpus=$(nproc)
conf=$work/etc
mkdir -p "$conf" "$work/state" "$work/spool" "$work/log" "$work/munge"
export SLURM_CONF=$conf/slurm.conf
pids=()

finish() {
  local status=$?
  if [ "$status" -ne 0 ]; then
    tail -n 15 "$work"/log/*.log >&2 || true
  fi
  scancel --quiet --user=root 2>/dev/null || true
  for pid in "${pids[@]}"; do kill "$pid" 2>/dev/null || true; done
  for pid in "${pids[@]}"; do
    within 10 "process $pid to end" bash -c "! kill -0 $pid" 2>/dev/null || kill -KILL "$pid" 2>/dev/null || true
  done
}
trap finish EXIT

# within SECONDS WORDS COMMAND…: waits until the command succeeds.
within() {
  local end=$((SECONDS + $1)) what=$2
  shift 2
  until "$@" >/dev/null 2>&1; do
    if [ "$SECONDS" -ge "$end" ]; then
      echo "slurm.sh: gave up waiting for $what" >&2
      return 1
    fi
    sleep 0.2
  done
}

# free_port PORT: the first port from PORT on that nobody listens on.
free_port() {
  local port=$1
  while (exec 3<>"/dev/tcp/127.0.0.1/$port") 2>/dev/null; do port=$((port + 1)); done
  echo "$port"
}

start_munge() {
  dd if=/dev/urandom of="$work/munge/key" bs=32 count=1 status=none
  chmod 700 "$work/munge"
  chmod 600 "$work/munge/key"
  munged --foreground --force --key-file="$work/munge/key" --socket="$work/munge/socket" --pid-file="$work/munge/pid" \
    --seed-file="$work/munge/seed" --log-file="$work/log/munged.log" >"$work/log/munged.out" 2>&1 &
  pids+=($!)
  within 20 "munged" munge --no-input --socket="$work/munge/socket"
}

write_conf() {
  cat >"$SLURM_CONF" <<CONF
ClusterName=trial
SlurmctldHost=$host(127.0.0.1)
SlurmUser=root
SlurmdUser=root
SlurmctldPort=$(free_port 26817)
SlurmdPort=$(free_port 26918)
AuthType=auth/munge
AuthInfo=socket=$work/munge/socket
CredType=cred/munge
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.pid
SlurmctldLogFile=$work/log/slurmctld.log
SlurmdLogFile=$work/log/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
AccountingStorageType=accounting_storage/none
JobAcctGatherType=jobacct_gather/none
SchedulerParameters=sched_interval=2
MpiDefault=none
ReturnToService=2
KillWait=2
InactiveLimit=0
SlurmctldTimeout=60
SlurmdTimeout=60
NodeName=$host NodeAddr=127.0.0.1 CPUs=$cpus State=UNKNOWN
PartitionName=all Nodes=$host Default=YES MaxTime=10 State=UP
CONF
}

start_slurm() {
  slurmctld -D -i >"$work/log/slurmctld.out" 2>&1 &
  pids+=($!)
  within 30 "slurmctld" scontrol ping
  slurmd -D -N "$host" >"$work/log/slurmd.out" 2>&1 &
  pids+=($!)
  within 30 "the node" bash -c "sinfo --noheader --format=%t | grep -qx -e idle -e mix -e alloc"
}

submit() { sbatch --parsable --output="$work/log/task-%a.log" --requeue "$@"; }

ended() { [ -z "$(squeue --noheader --jobs="$1" 2>/dev/null)" ]; }

start_munge
write_conf
start_slurm

"$setdown" batch "$trial" --out "$work/one-machine" >"$work/log/one.log" 2>&1 || [ $? -eq 3 ]

# The script of docs/cluster.md, with a task that waits so that it can be killed.
cat >"$work/job.sh" <<'JOB'
#!/bin/bash
if [ -e "$HOLD" ] && [ "$SLURM_ARRAY_TASK_ID" -eq 2 ]; then
  nice -n 19 "$SETDOWN" batch "$TRIAL" --out "$OUT" --workers 1 --events &
  until [ -s "$OUT/parts/$BEGUN" ]; do kill -0 $! || exit 1; done
  kill -STOP $!
  wait $!
else
  "$SETDOWN" batch "$TRIAL" --out "$OUT" --workers 1
fi
JOB
# It is stopped the moment it has begun: a part takes tenths of a second only.
export BEGUN=00002-of-0000$tasks.1.json
export HOLD=$work/hold SETDOWN=$setdown TRIAL=$trial OUT=$work/array
touch "$HOLD"

job=$(submit --array=1-$tasks "$work/job.sh")
echo "submitted array $job"
within 60 "task ${job}_2 to run" bash -c "squeue --noheader --array --states=RUNNING --jobs=$job --format=%K | grep -qx 2"
within 30 "task ${job}_2 to begin its part" test -s "$work/array/parts/$BEGUN"
scancel --signal=KILL --full "${job}_2"
echo "killed task ${job}_2"
within 120 "the array to end" ended "$job"

if "$setdown" batch --merge "$work/array" >"$work/log/merge-lost.log" 2>&1; then
  echo "slurm.sh: the merge did not notice the lost task" >&2
  exit 1
fi
cat "$work/log/merge-lost.log"
grep -q "part 2 of $tasks (Slurm task ${job}_2)" "$work/log/merge-lost.log"

rm "$HOLD"
again=$(submit --array=2 --export="ALL" --wrap "'$setdown' batch '$trial' --out '$OUT' --part \$SLURM_ARRAY_TASK_ID/$tasks")
echo "submitted task 2 again as $again"
within 120 "the repeated task to end" ended "$again"

"$setdown" batch --merge "$work/array" || [ $? -eq 3 ]
diff -r "$work/one-machine" "$work/array"
echo "the merged array has the bytes of the single machine"
