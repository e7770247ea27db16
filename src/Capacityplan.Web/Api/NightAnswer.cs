using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>A job's run in the night, on the machine chosen or the one that comes closest, each job taking its usual time.</summary>
/// <param name="Job">Its name.</param>
/// <param name="StartSeconds">When it starts, seconds after the machine is asked for.</param>
/// <param name="EndSeconds">When it ends.</param>
/// <param name="Cores">The cores' worth it has.</param>
/// <param name="WorkSeconds">Its work T1 at the speed the request's own job was measured on, seconds.</param>
/// <param name="SpanSeconds">Its span, likewise.</param>
public sealed record NightRunAnswer(string Job, double StartSeconds, double EndSeconds, double Cores, double WorkSeconds, double SpanSeconds)
{
    /// <summary>Writes a night; null where there is none, or no machine to run it on.</summary>
    /// <param name="result">What the plan came to.</param>
    /// <param name="night">How its night scales.</param>
    public static IReadOnlyList<NightRunAnswer>? Of(PlanResult result, NightScaling night)
    {
        if (result is not { NightOnChoice: { } schedule, Verdict.Choice.Machine.StartUpSeconds: var startUp, Plan: { SharedNight: { } shared, Name: var own } })
            return null;
        return
        [
            .. schedule.Runs.Select(run => new NightRunAnswer(
                run.Job == 0 ? NightOrder.OwnName(own) : shared.Others[run.Job - 1].Plan.Name, startUp + run.StartSeconds, startUp + run.EndSeconds, run.Cores,
                night.Models[run.Job].Parameters["workSeconds"], night.Models[run.Job].Parameters["spanSeconds"])),
        ];
    }
}
