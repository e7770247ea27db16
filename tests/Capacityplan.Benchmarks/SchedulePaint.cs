using System.Globalization;
using System.Text;
using Capacityplan.Core;
using MathNet.Numerics.Statistics;
using Microsoft.Playwright;

namespace Capacityplan.Benchmarks;

/// <summary>
/// Measures how soon the picture of a large graph's schedule is on the screen once the schedule is there, and how soon it follows
/// when another stretch of it is looked at: graphs of 100,000 tasks, invented, each in a plan of its own.
/// </summary>
internal static class SchedulePaint
{
    private const int Graphs = 6;
    private const int Tasks = 100_000;

    /// <summary>A task waits for some of so many before it.</summary>
    private const int Reach = 400;
    private const double MostPaint = 1_000;
    private static readonly string[] s_steps = ["Closer", "Closer", "Later", "Later", "Earlier", "Later", "Later", "Earlier"];

    /// <summary>Runs it and prints a line for each graph.</summary>
    /// <param name="folder">A published build; one is published where null.</param>
    /// <returns>0 where every first picture is within the bar.</returns>
    public static async Task<int> RunAsync(string? folder)
    {
        await using PublishedPages pages = await PublishedPages.StartAsync(folder);
        IPage demo = await pages.OpenAsync();
        await demo.Locator("#chart-split-size").WaitForAsync();
        await demo.CloseAsync();
        Console.WriteLine($"Milliseconds; bar: a first picture within {MostPaint}. The demo, which a new server opens with, was looked at before.");
        Console.WriteLine("graph  from the schedule to its picture  steps' median    max");
        bool within = true;
        for (int graph = 1; graph <= Graphs; graph++)
        {
            IPage page = await pages.OpenAsync("plans");
            await page.GetByRole(AriaRole.Button, new() { Name = "New plan", Exact = true }).ClickAsync();
            await page.Locator("input[type=file]").First.WaitForAsync(new() { State = WaitForSelectorState.Attached });
            // What a person needs to find the file.
            await page.WaitForTimeoutAsync(2_500);
            Task<double> painted = page.EvaluateAsync<double>(WhenPainted);
            await page.Locator("input[type=file]").First.SetInputFilesAsync(
                new FilePayload { Name = "tasks.csv", MimeType = "text/csv", Buffer = Encoding.UTF8.GetBytes(Csv(graph)) });
            double wait = await painted;
            await page.WaitForTimeoutAsync(4_000);
            double[] steps = new double[s_steps.Length];
            for (int step = 0; step < steps.Length; step++)
                steps[step] = await page.Locator("figure:has(#chart-schedule)").EvaluateAsync<double>(Step, s_steps[step]);
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{graph,5}  {wait,33:0}  {steps.Median(),13:0}  {steps.Max(),5:0}"));
            within &= wait <= MostPaint;
            await page.CloseAsync();
        }

        Console.WriteLine(within ? "Within the bar." : "NOT within the bar.");
        return within ? 0 : 1;
    }

    private static string Csv(int seed)
    {
        var random = new RandomSource((ulong)seed);
        var text = new StringBuilder("id,seconds,parents\n");
        for (int task = 0; task < Tasks; task++)
        {
            var parents = new SortedSet<int>();
            for (int more = random.NextIndex(4); more > 0 && task > 0; more--)
                parents.Add(task - 1 - random.NextIndex(Math.Min(task, Reach)));
            text.Append(CultureInfo.InvariantCulture, $"t{task},{2 * random.NextExponential():0.000},").AppendJoin(';', parents.Select(parent => $"t{parent}")).Append('\n');
        }

        return text.ToString();
    }

    /// <summary>From when the schedule's heading is there, scrolled to at once, until the screen shows its bars.</summary>
    private const string WhenPainted =
        $$"""
        () => new Promise(resolve => {
          {{PublishedPages.WhenShown}}
          const watch = (found, then) => {
            const changes = new MutationObserver(() => { const it = found(); if (it) { changes.disconnect(); then(it); } });
            changes.observe(document.body, { subtree: true, childList: true });
          };
          watch(() => document.getElementById('chart-schedule')?.closest('figure'), figure => {
            const began = performance.now();
            figure.scrollIntoView({ block: 'center' });
            watch(() => figure.querySelector('.barlayer path'), () => whenShown('bars').then(shown => resolve(shown - began)));
          });
        })
        """;

    /// <summary>From a press of a button under the chart until the screen shows the chart drawn anew.</summary>
    private const string Step =
        $$"""
        (figure, name) => new Promise(resolve => {
          {{PublishedPages.WhenShown}}
          const plot = figure.querySelector('.js-plotly-plot');
          const began = performance.now();
          const seen = () => {
            plot.removeListener('plotly_afterplot', seen);
            whenShown('stretch').then(shown => setTimeout(() => resolve(shown - began), 500));
          };
          plot.on('plotly_afterplot', seen);
          [...figure.querySelectorAll('button')].find(button => button.textContent.trim() === name).click();
        })
        """;
}
