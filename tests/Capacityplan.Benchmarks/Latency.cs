using System.Globalization;
using MathNet.Numerics.Statistics;
using Microsoft.Playwright;

namespace Capacityplan.Benchmarks;

/// <summary>
/// Measures how soon the charts in view follow a change, as a person at a desk sees it: from the browser's input event until
/// the frame is on the screen in which the last chart in view begins to show the new answer.
/// </summary>
internal static class Latency
{
    private const int Changes = 60;

    /// <summary>With the measured ones an even number, so that a series leaves the plan as it found it.</summary>
    private const int Unmeasured = 6;
    private const double MostMedian = 100;
    private const double MostOfNearlyAll = 250;

    /// <summary>The page reads a paste after so much silence (PlanSession.Silence).</summary>
    private const double Silence = 200;

    private const string Timings = "cores   time\n1       6h 28m\n2       3:16:40\n2       3:20:30\n4       104.1 min\n4       1h45m50s\n6       4 420 s\n8       56m50\n8       ";

    private static readonly Series[] s_series =
    [
        new("end of the window", "run-time", "End of the window, a time of day or a length such as 60 min", ["05:05", "05:00"]),
        new("may miss one night in", "cost", "May miss one night in", ["200", "20"]),
        new("input of a heavy night", "cost", "Input of a heavy night, times the usual", ["1.5", "1.45"]),
        new("second thread's gain (fits anew)", "run-time", "What a second hardware thread adds, in per cent of a core", ["26 %", "25 %"]),
        new("timings pasted (fits anew)", "run-time", "Timings, as pasted", [Paste("57.6"), Paste("58.6")], Silence),
    ];

    /// <summary>Runs it and prints a line for each series.</summary>
    /// <param name="folder">A published build; one is published where null.</param>
    /// <returns>0 where every series is within the bar.</returns>
    public static async Task<int> RunAsync(string? folder)
    {
        await using PublishedPages pages = await PublishedPages.StartAsync(folder);
        IPage page = await pages.OpenAsync();
        await page.GetByText("Holds", new() { Exact = true }).WaitForAsync();
        // The first simulation of the demo's phases is over once the split sizes are there.
        await page.Locator("#chart-split-size").WaitForAsync();
        await page.WaitForFunctionAsync("() => !/for each split size/.test(document.querySelector('.simulated').textContent)");

        Console.WriteLine($"Milliseconds from an input event; bar, for charts shown: median {MostMedian}, 95 of 100 within {MostOfNearlyAll}. Load: {Load()}.");
        Console.WriteLine("                                          charts painted   charts shown  charts settled   answer line");
        Console.WriteLine("changed                             drawn  median    p95  median   p95  median   p95  median   p95");
        bool within = true;
        foreach (Series series in s_series)
            within &= await MeasureAsync(page, series);
        Console.WriteLine($"{(within ? "Within" : "NOT within")} the bar. Load: {Load()}.");
        return within ? 0 : 1;
    }

    private static async Task<bool> MeasureAsync(IPage page, Series series)
    {
        ILocator chart = page.Locator($"figure:has(#chart-{series.Chart})");
        await chart.EvaluateAsync("chart => chart.scrollIntoView({ block: 'center' })");
        await chart.Locator(".plot svg .scatterlayer > .trace").First.WaitForAsync();
        ILocator field = page.GetByRole(AriaRole.Textbox, new() { Name = series.Field, Exact = true });
        var samples = new List<Sample>();
        for (int change = 0; change < Unmeasured + Changes; change++)
        {
            Sample sample = await field.EvaluateAsync<Sample>(ChangeAndWatch, series.Values[change % 2]);
            if (change >= Unmeasured)
                samples.Add(sample);
        }

        Sample[] drawn = [.. samples.Where(sample => sample.Charts > 0)];
        double[] Waits(Func<Sample, double> of) => [.. drawn.Select(sample => of(sample) - series.Silence)];
        static string Two(double[] waits) => string.Create(CultureInfo.InvariantCulture, $"{waits.Median(),6:0} {waits.Quantile(0.95),5:0}");
        double[] shown = Waits(sample => sample.Shown);
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"{series.Name,-34}  {drawn.Length,5}  {Two(Waits(sample => sample.Painted))}  {Two(shown)}  {Two(Waits(sample => sample.Settled))}  {Two(Waits(sample => sample.Answer))}"));
        return drawn.Length == samples.Count && shown.Median() <= MostMedian && shown.Quantile(0.95) <= MostOfNearlyAll;
    }

    private static string Paste(string last) => $"{Timings}{last} min";

    private static string Load() => File.Exists("/proc/loadavg") ? string.Join(' ', File.ReadAllText("/proc/loadavg").Split(' ').Take(3)) : "unknown";

    /// <summary>
    /// Changes a field as typing does, and waits until the charts in view have been quiet for a while.
    /// </summary>
    private const string ChangeAndWatch =
        $$"""
        (field, value) => new Promise(resolve => {
          {{PublishedPages.WhenShown}}
          const quiet = 400, longest = 4000;
          const inView = element => { const box = element.getBoundingClientRect(); return box.bottom > 0 && box.top < innerHeight; };
          const plots = [...document.querySelectorAll('.js-plotly-plot')].filter(inView);
          const painted = new Map(), shown = new Map();
          let started = 0, settled = 0, answer = 0, timer = 0;

          // A message is taken after the frame under way has been painted.
          let isInFrame = false, isOver = false;
          const once = then => { const channel = new MessageChannel(); channel.port1.onmessage = then; channel.port2.postMessage(null); };
          const tick = () => { isInFrame = true; once(() => { isInFrame = false; }); if (!isOver) requestAnimationFrame(tick); };
          requestAnimationFrame(tick);
          const whenPainted = then => isInFrame ? once(then) : requestAnimationFrame(() => once(then));

          document.addEventListener('input', () => { started = performance.now(); }, { capture: true, once: true });
          const words = new MutationObserver(() => { answer ||= performance.now() - started; });
          words.observe(document.querySelector('.answer'), { subtree: true, childList: true, characterData: true, attributes: true });
          const watched = plots.map((plot, index) => {
            let isAwaited = false;
            const changes = new MutationObserver(() => {
              if (!painted.has(index) && !isAwaited)
                whenShown(index).then(time => shown.set(index, time - started));
              if (isAwaited) return;
              isAwaited = true;
              whenPainted(() => {
                isAwaited = false;
                settled = performance.now() - started;
                if (!painted.has(index)) painted.set(index, settled);
                clearTimeout(timer);
                timer = setTimeout(end, quiet);
              });
            });
            plot.querySelectorAll('.main-svg').forEach(drawing =>
              changes.observe(drawing, { subtree: true, childList: true, attributes: true, characterData: true }));
            return changes;
          });
          timer = setTimeout(end, longest);

          function end() {
            isOver = true;
            [words, ...watched].forEach(observer => observer.disconnect());
            const last = times => Math.max(...times.values(), 0);
            resolve({ painted: last(painted), shown: last(shown), settled, answer, charts: Math.min(painted.size, shown.size) });
          }

          field.value = value;
          field.dispatchEvent(new InputEvent('input', { bubbles: true }));
        })
        """;

    /// <summary>One number, changed to and fro.</summary>
    /// <param name="Name">What it is.</param>
    /// <param name="Chart">The chart that is scrolled into view.</param>
    /// <param name="Field">The field's label.</param>
    /// <param name="Values">What it is set to in turn.</param>
    /// <param name="Silence">Milliseconds of silence the page waits for before it reads the field; not counted.</param>
    private sealed record Series(string Name, string Chart, string Field, string[] Values, double Silence = 0);

    /// <summary>One change, milliseconds from its event.</summary>
    private sealed record Sample
    {
        /// <summary>Until the page has painted the last of the charts in view that change, each for the first time.</summary>
        public double Painted { get; init; }

        /// <summary>Until the browser has put that frame on the screen.</summary>
        public double Shown { get; init; }

        /// <summary>To the frame after which the charts in view stay as they are: simulated runs, where they change a chart, have come in.</summary>
        public double Settled { get; init; }

        /// <summary>To the first change of the answer line.</summary>
        public double Answer { get; init; }

        /// <summary>How many charts in view were drawn.</summary>
        public int Charts { get; init; }
    }
}
