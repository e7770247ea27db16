using Capacityplan.Core.Planning;
using Capacityplan.EndToEnd.Tests.Browsing;
using Capacityplan.Web.Components.Charts;
using Microsoft.Playwright;
using static Microsoft.Playwright.Assertions;

namespace Capacityplan.EndToEnd.Tests;

/// <summary>Looking closer at an answer: the theme, the numbers, the curves, the table and the workings.</summary>
public sealed class ExploringTests(BrowserFixture fixture) : BrowserTest(fixture)
{
    [Fact]
    public async Task Theme_Toggled_ChangesThePageAndItsChartsAndIsKept()
    {
        PlanSheet sheet = await OpenDemoAsync();
        ILocator document = sheet.Page.Locator("html");
        await sheet.ExpectSimulatedAsync();
        await sheet.ExpectDrawnAsync("run-time");
        string light = await sheet.DrawingAsync("run-time");
        await Expect(document).ToHaveAttributeAsync("data-theme", "light");

        await sheet.Button("Dark").ClickAsync();

        await Expect(document).ToHaveAttributeAsync("data-theme", "dark");
        await sheet.ExpectRedrawnAsync("run-time", light);
        string dark = await sheet.DrawingAsync("run-time");

        await sheet.Page.ReloadAsync();

        await Expect(document).ToHaveAttributeAsync("data-theme", "dark");
        await sheet.ExpectDrawnAsync("run-time");
        await sheet.ExpectDrawingAsync("run-time", dark);

        await sheet.Button("Light").ClickAsync();

        await Expect(document).ToHaveAttributeAsync("data-theme", "light");
        await sheet.ExpectRedrawnAsync("run-time", dark);
    }

    [Fact]
    public async Task Numbers_Shown_AreThoseOfTheChart()
    {
        PlanResult result = DemoJob.Answer(DemoJob.Draft);
        var view = ScalingChartView.For(result);
        PlanSheet sheet = await OpenDemoAsync();

        foreach (ChartModel model in new[] { RunTimeChart.Build(result, view), SpeedupChart.Build(result, view), CostChart.Build(result), MachineSizeChart.Build(result) })
        {
            ILocator show = sheet.Chart(model.Name).GetByRole(AriaRole.Button, new() { Name = "Show the numbers", Exact = true });
            await show.ClickAsync();

            await Expect(sheet.NumberRows(model.Name)).ToHaveCountAsync(model.Table.Rows.Count);
            await Expect(sheet.NumberRows(model.Name).Last).ToContainTextAsync(model.Table.Rows[^1].Cells[1]);
            await Expect(sheet.Chart(model.Name).GetByRole(AriaRole.Button, new() { Name = "Hide the numbers", Exact = true })).ToHaveAttributeAsync("aria-expanded", "true");
        }

        // Every machine that fits is a point of the cost chart.
        await Expect(sheet.NumberRows("cost")).ToHaveCountAsync(10);
    }

    /// <summary>A chart whose curves only move is not drawn anew at once: until it is, it must show the same.</summary>
    [Fact]
    public async Task Curves_ThatMove_AreWhereThePlottingScriptThenDrawsThem()
    {
        PlanSheet sheet = await OpenDemoAsync();
        await sheet.ExpectSimulatedAsync();

        foreach ((string chart, string blank, string value) in ((string, string, string)[])
        [
            ("run-time", "What a second hardware thread adds, in per cent of a core", "60 %"),
            ("speedup", "What a second hardware thread adds, in per cent of a core", "25 %"),
            ("cost", "Input of a heavy night, times the usual", "1.4"),
            // The axis of time moves too.
            ("run-time", "Timings, as pasted", DemoJob.Draft.TimingsText.Replace("58,6", "57,6", StringComparison.Ordinal)),
        ])
        {
            await sheet.ExpectDrawnAsync(chart);

            (double off, int moved) = await sheet.MoveAsync(chart, blank, value);

            Assert.InRange(moved, 1, 100);
            Assert.InRange(off, 0, 0.05);
        }
    }

    [Fact]
    public async Task LawsAndCoreSpeed_PickedAndDropped_AreDrawnAndTakenAway()
    {
        PlanSheet sheet = await OpenDemoAsync();
        await sheet.ExpectDrawnAsync("speedup");
        int without = await sheet.Traces("speedup").CountAsync();

        foreach (string law in (string[])["Amdahl", "Gustafson"])
        {
            await sheet.Button($"Add {law}'s curve").ClickAsync();

            await Expect(sheet.Traces("speedup")).ToHaveCountAsync(without + 1);
            await Expect(sheet.Button($"Remove {law}'s curve")).ToHaveAttributeAsync("aria-pressed", "true");

            await sheet.Button($"Remove {law}'s curve").ClickAsync();

            await Expect(sheet.Traces("speedup")).ToHaveCountAsync(without);
        }

        // No machine has cores of the speed measured on: the strokes that stand for machines go.
        const string StrokesLeft =
            """
            figure => {
              const plot = figure.querySelector('.js-plotly-plot');
              const drawn = [...plot.querySelectorAll('.shapelayer [data-index]')].map(stroke => Number(stroke.dataset.index));
              return [plot.layout.shapes.length, new Set(drawn).size, Math.max(...drawn)];
            }
            """;
        ILocator figure = sheet.Page.Locator("figure:has(#chart-run-time)");
        await sheet.ExpectDrawnAsync("run-time");
        int[] all = await figure.EvaluateAsync<int[]>(StrokesLeft);

        await sheet.Page.GetByLabel("Core speed", new() { Exact = true }).SelectOptionAsync(new SelectOptionValue { Index = 1 });

        await Expect(figure.Locator(".sub")).ToContainTextAsync("at the core speed measured on");
        int[] left = all;
        for (int tries = 0; tries < 100 && left[0] == all[0]; tries++)
        {
            await sheet.Page.WaitForTimeoutAsync(50);
            left = await figure.EvaluateAsync<int[]>(StrokesLeft);
        }

        Assert.True(left[0] < all[0], $"{left[0]} of {all[0]} strokes are left");
        Assert.Equal([left[0], left[0], left[0] - 1], left);
    }

    [Fact]
    public async Task MachineTable_SortedByTime_ListsTheFastestFirstAndThenLast()
    {
        string[] fastestFirst = [.. DemoJob.Answer(DemoJob.Draft).Machines
            .Where(outcome => outcome.Fits)
            .OrderBy(outcome => outcome.StartToFinishSeconds.Median)
            .Select(outcome => outcome.Machine.Name)];
        PlanSheet sheet = await OpenDemoAsync();
        ILocator heading = sheet.MachineTable.GetByRole(AriaRole.Columnheader, new() { Name = "start to finish", Exact = true });

        await heading.GetByRole(AriaRole.Button).ClickAsync();

        await Expect(heading).ToHaveAttributeAsync("aria-sort", "ascending");
        await Expect(sheet.MachineNames).ToContainTextAsync(fastestFirst);

        await heading.GetByRole(AriaRole.Button).ClickAsync();

        await Expect(heading).ToHaveAttributeAsync("aria-sort", "descending");
        await Expect(sheet.MachineNames).ToContainTextAsync(fastestFirst.Reverse());
    }

    [Fact]
    public async Task MachineTable_UnfitShown_HasEveryMachine()
    {
        PlanResult result = DemoJob.Answer(DemoJob.Draft);
        int unfit = result.Machines.Count(outcome => !outcome.Fits);
        PlanSheet sheet = await OpenDemoAsync();

        await sheet.Button($"Show the {unfit} that do not fit").ClickAsync();

        await Expect(sheet.MachineRows).ToHaveCountAsync(result.Machines.Length);

        await sheet.Button($"Hide the {unfit} that do not fit").ClickAsync();

        await Expect(sheet.MachineRows).ToHaveCountAsync(result.Machines.Length - unfit);
    }

    [Fact]
    public async Task Figure_Asked_OpensItsWorkingAndTakesTheFocusBack()
    {
        PlanSheet sheet = await OpenDemoAsync();

        foreach (AnswerPartKind kind in (AnswerPartKind[])[AnswerPartKind.Time, AnswerPartKind.Chance, AnswerPartKind.Cost])
        {
            AnswerPart part = DemoJob.Answer(DemoJob.Draft).Verdict.Parts.Single(part => part.Kind == kind);

            await sheet.Figure(part).ClickAsync();

            await Expect(sheet.Working).ToBeFocusedAsync();
            await Expect(sheet.Working).ToContainTextAsync($"Why {part.Text}?");

            await sheet.Page.Keyboard.PressAsync("Escape");

            await Expect(sheet.Working).ToHaveCountAsync(0);
            await Expect(sheet.Figure(part)).ToBeFocusedAsync();

            await sheet.Page.Keyboard.PressAsync("Enter");

            await Expect(sheet.Working).ToBeFocusedAsync();

            await sheet.Working.GetByRole(AriaRole.Button, new() { Name = "Close", Exact = true }).ClickAsync();

            await Expect(sheet.Working).ToHaveCountAsync(0);
            await Expect(sheet.Figure(part)).ToBeFocusedAsync();
        }
    }

    [Fact]
    public async Task Figure_AskedOnAPhone_TakesTheFocusBackToTheBriefAnswer()
    {
        AnswerPart part = DemoJob.Answer(DemoJob.Draft).Verdict.BriefParts.Single(part => part.Kind == AnswerPartKind.Chance);
        PlanSheet sheet = await OpenDemoAsync(Phone);

        await sheet.Figure(part).ClickAsync();
        await Expect(sheet.Working).ToBeFocusedAsync();
        await sheet.Page.Keyboard.PressAsync("Escape");

        await Expect(sheet.Figure(part)).ToBeFocusedAsync();
    }
}
